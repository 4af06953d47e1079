#ifndef SIGNAL_H
#define SIGNAL_H

/*
 * Samples at a rate far above their highest frequency, the first at t = 0, and the polynomial through the eight
 * nearest.
 */
typedef struct Signal {
  double *samples;
  long count;
  double rate_hz;
} Signal;

/* Reads 64-bit floats. */
Signal signal_of_file(const char *path, double rate_hz);
/* Volts at t in s; 0 after the end. */
double signal_at(const Signal *signal, double t);

#endif
