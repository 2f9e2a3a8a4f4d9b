/*
 * Who asks, and from where: by API token, or by the cookies of a session and of a shared tablet.
 */
#ifndef PEGWARDEN_HANDLERS_IDENTIFY_H
#define PEGWARDEN_HANDLERS_IDENTIFY_H

#include "http/request.h"

/* For the server: see identify of http_host. A session begun with a PIN is one on its tablet
 * only, while that is not revoked; left alone for too long it is locked (rq->device.locked),
 * which is nobody until the PIN is given again. It may do no more than an inspector may. */
enum err identify(void *self, struct request *rq) MUST_CHECK;

#endif
