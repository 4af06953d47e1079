#include "signal.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#include "json.h"

enum { POINTS = 8 };

Signal signal_of_file(const char *path, double rate_hz) {
  FILE *file = fopen(path, "rb");
  if (!file) fail("%s cannot be read", path);
  fseek(file, 0, SEEK_END);
  long count = ftell(file) / (long)sizeof(double);
  rewind(file);
  Signal signal = {malloc(sizeof(double) * (size_t)count), count, rate_hz};
  if (count < POINTS || fread(signal.samples, sizeof(double), (size_t)count, file) != (size_t)count)
    fail("%s holds no signal", path);
  fclose(file);
  return signal;
}

/* Lagrange's polynomial; at either end the eight points are the outermost, so that a corner at 0 stays sharp. */
double signal_at(const Signal *signal, double t) {
  double place = t * signal->rate_hz, value = 0;
  if (place > (double)(signal->count - 1) + 1e-3 || place < 0) return 0;
  long first = (long)place - POINTS / 2 + 1;
  if (first < 0) first = 0;
  if (first > signal->count - POINTS) first = signal->count - POINTS;
  double x = place - (double)first;
  for (int k = 0; k < POINTS; k++) {
    double weight = 1;
    for (int j = 0; j < POINTS; j++)
      if (j != k) weight *= (x - j) / (k - j);
    value += weight * signal->samples[first + k];
  }
  return value;
}
