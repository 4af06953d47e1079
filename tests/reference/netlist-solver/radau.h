#ifndef RADAU_H
#define RADAU_H

#include "circuit.h"
#include "signal.h"

typedef struct Tolerance {
  double relative, absolute_v, longest_step_s;
} Tolerance;

typedef struct Counts {
  long steps, refused, pivots;
} Counts;

/*
 * Voltages of nodes at n/rate, n = 0 .. count - 1, from the state of rest `y` (length size + 1, overwritten), passed to
 * `take` one after the other. Returns their number: less than `count` if no step succeeds.
 */
long radau_run(const Circuit *circuit, const Signal *signal, const Tolerance *tolerance, double *y, double rate_hz,
               long count, void (*take)(void *context, const double *y), void *context, Counts *counts);

#endif
