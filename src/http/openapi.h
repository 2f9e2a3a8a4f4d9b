/*
 * The OpenAPI 3.1 document of all routes and resources, made from the same
 * tables the server runs on.
 */
#ifndef PEGWARDEN_HTTP_OPENAPI_H
#define PEGWARDEN_HTTP_OPENAPI_H

#include "base/doc.h"
#include "http/route.h"

struct doc *openapi_document(const struct route_table *table, size_t count, struct arena *a);

#endif
