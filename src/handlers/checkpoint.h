/*
 * The checkpoint that pages show: what the record states of itself just now.
 */
#ifndef PEGWARDEN_HANDLERS_CHECKPOINT_H
#define PEGWARDEN_HANDLERS_CHECKPOINT_H

#include "http/request.h"

/* Sets "checkpoint" of the document: size (entries), note (the signed text); see audit/note.h. */
enum err checkpoint_show(struct request *rq, struct doc *map) MUST_CHECK;

#endif
