/*
 * How alike two tags look, for somebody who typed one that is not there.
 */
#ifndef PEGWARDEN_BASE_LIKENESS_H
#define PEGWARDEN_BASE_LIKENESS_H

#define UNLIKE (-1)

/*
 * 0 for the same but for upper and lower case, more the less they are alike, UNLIKE when nobody
 * would take one for the other. Cheap are a sign read as another (O and 0, I and 1, S and 5) and
 * a hyphen more or less; dearer any other sign changed, left out, added or swapped with the next
 * one. At most two such slips, and never as many as the shorter tag has signs. A tag of which the
 * beginning or the end is missing (at least four signs are there) is alike too, after all others.
 */
int likeness_of_tags(const char *typed, const char *tag);

#endif
