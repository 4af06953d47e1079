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

typedef struct Samples {
  double rate_hz;
  long count;
  /* Means from half a sample before to half a sample after, instead of values: an edge that is far shorter than a sample
   * then does not alias. */
  int are_means;
  void (*take)(void *context, const double *y);
  void *context;
} Samples;

/*
 * Passes the voltages of nodes at n/rate, n = 0 .. count - 1, to `take` one after the other, from the state of rest `y`
 * (length size + 1, overwritten). Returns their number: less than `count` if no step succeeds.
 */
long radau_run(const Circuit *circuit, const Signal *signal, const Tolerance *tolerance, double *y, const Samples *samples,
               Counts *counts);

#endif
