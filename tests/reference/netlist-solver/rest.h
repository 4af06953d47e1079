#ifndef REST_H
#define REST_H

#include "circuit.h"

/*
 * State at rest with 0 V in, y of length size + 1. If `near` is not NULL it contains volts of nodes (by node, NaN if
 * unknown) from which the state is searched first; otherwise every node starts at half the highest supply. Returns the
 * largest remaining step of Newton's method, V, or -1 if no state of rest was found.
 */
double rest_of(const Circuit *circuit, const double *near, double *y);

#endif
