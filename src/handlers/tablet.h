/*
 * What the sign-in shows on a shared tablet.
 */
#ifndef PEGWARDEN_HANDLERS_TABLET_H
#define PEGWARDEN_HANDLERS_TABLET_H

#include "http/request.h"

/* The page on which a person of the tablet's station gives the PIN; ERR_NOT_FOUND for others. */
enum err pin_page(struct request *rq, int64_t account) MUST_CHECK;

#endif
