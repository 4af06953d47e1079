#ifndef REST_H
#define REST_H

#include "circuit.h"

/*
 * State at rest with 0 V in, y of length size + 1. Where `near` is no NULL it holds volts of nodes (by node, NaN where
 * nothing is known) from which the state is found first; else every node starts at half the highest supply. Returns the
 * largest step of Newton's method that was left, V, or -1 where no state of rest was found.
 */
double rest_of(const Circuit *circuit, const double *near, double *y);

#endif
