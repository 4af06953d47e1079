/* The state of rest: backward Euler with steps that grow until nothing changes, each by damped Newton steps. */
#include "rest.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static const double FIRST_STEP_S = 1e-8, LAST_STEP_S = 1e9, NEAR_STEP_S = 1e-3, LEAST_STEP_S = 1e-16;
/* Rounding alone moves the ends of a resistor of 2 ohms by 1e-11 V; the last steps at rest are exact. */
static const double TOLERANCE_V = 1e-11;
/* A step moves no node more than the first and no junction more than the second, V. */
static const double MOST_NODE_V = 2, MOST_JUNCTION_V = 0.1;
/* A junction that begins at half of the supply falls by V_T an iteration. */
enum { MOST_ITERATIONS = 1000, LAST_ITERATIONS = 4 };

typedef struct Work {
  const Circuit *circuit;
  double *f, *jacobian, *matrix, *move, *moved_mass, *trial;
} Work;

/* Full factorisation with row scaling and partial pivots, then x := A^-1 x. Returns 0 where A is singular. */
static int solve_dense(double *a, double *x, int n) {
  for (int row = 0; row < n; row++) {
    double largest = 0;
    for (int k = 0; k < n; k++) largest = fmax(largest, fabs(a[row * n + k]));
    if (!(largest > 0) || !isfinite(largest)) return 0;
    for (int k = 0; k < n; k++) a[row * n + k] /= largest;
    x[row] /= largest;
  }
  for (int k = 0; k < n; k++) {
    int best = k;
    for (int row = k + 1; row < n; row++)
      if (fabs(a[row * n + k]) > fabs(a[best * n + k])) best = row;
    if (a[best * n + k] == 0) return 0;
    for (int j = k; j < n && best != k; j++) {
      double swapped = a[k * n + j];
      a[k * n + j] = a[best * n + j], a[best * n + j] = swapped;
    }
    double swapped = x[k];
    x[k] = x[best], x[best] = swapped;
    for (int row = k + 1; row < n; row++) {
      double factor = a[row * n + k] / a[k * n + k];
      if (factor == 0) continue;
      for (int j = k + 1; j < n; j++) a[row * n + j] -= factor * a[k * n + j];
      x[row] -= factor * x[k];
    }
  }
  for (int k = n - 1; k >= 0; k--) {
    for (int j = k + 1; j < n; j++) x[k] -= a[k * n + j] * x[j];
    x[k] /= a[k * n + k];
  }
  return 1;
}

/* One step of Newton's method for M (y - before)/step = f(y), in `move`; step 0 for f = 0. Returns 0 where singular. */
static int newton_move(Work *w, const double *before, const double *y, double step) {
  const Circuit *c = w->circuit;
  int n = c->size;
  double rate = step > 0 ? 1 / step : 0;
  circuit_evaluate(c, y, 0, w->f, w->jacobian);
  for (int k = 0; k <= n; k++) w->move[k] = (y[k] - before[k]) * rate;
  circuit_mass_times(c, w->move, w->moved_mass);
  memset(w->matrix, 0, sizeof(double) * (size_t)(n * n));
  for (int e = 1; e < c->entry_count; e++)
    w->matrix[c->row[e] * n + c->column[e]] += c->mass[e] * rate - w->jacobian[e];
  for (int k = 0; k < n; k++) w->move[k] = w->f[k] - w->moved_mass[k];
  w->move[n] = 0;
  return solve_dense(w->matrix, w->move, n);
}

static double largest_move(const Work *w) {
  double largest = 0;
  for (int k = 0; k < w->circuit->node_count; k++)
    if (!(fabs(w->move[k]) <= largest)) largest = fabs(w->move[k]);
  return largest;
}

/* The fraction of the move that is small enough for every junction. */
static double allowed_share(const Work *w, double largest) {
  const Circuit *c = w->circuit;
  double share = fmin(1, MOST_NODE_V / (largest + 1e-300));
  for (int d = 0; d < c->device_count; d++) {
    const Device *device = &c->devices[d];
    if (device->kind == OPAMP) continue;
    double moved = 0;
    if (device->kind == DIODE) moved = fabs(w->move[device->unknown[2]]);
    else
      for (int k = 0; k < 3; k++)
        moved = fmax(moved, fabs(w->move[device->unknown[k]] - w->move[device->unknown[(k + 1) % 3]]));
    share = fmin(share, MOST_JUNCTION_V / (moved + 1e-300));
  }
  return share;
}

/* One step of backward Euler, with the result in y. Returns 0, with y unchanged, if it fails. */
static int euler(Work *w, double *y, double step) {
  int n = w->circuit->size;
  memcpy(w->trial, y, sizeof(double) * (size_t)(n + 1));
  for (int iteration = 0; iteration < MOST_ITERATIONS; iteration++) {
    if (!newton_move(w, y, w->trial, step)) return 0;
    double largest = largest_move(w), volts = 0;
    if (!isfinite(largest)) return 0;
    double share = allowed_share(w, largest);
    for (int k = 0; k < n; k++) w->trial[k] += share * w->move[k];
    for (int k = 0; k < w->circuit->node_count; k++) volts = fmax(volts, fabs(w->trial[k]));
    if (share == 1 && largest < TOLERANCE_V * (1 + volts)) {
      memcpy(y, w->trial, sizeof(double) * (size_t)(n + 1));
      return 1;
    }
  }
  return 0;
}

static void start(const Circuit *c, const double *near, double *y) {
  memset(y, 0, sizeof(double) * (size_t)(c->size + 1));
  for (int k = 0; k < c->node_count; k++) {
    y[k] = near && isfinite(near[k]) ? near[k] : c->highest_v / 2;
    if (c->is_driven[k]) y[k] = c->constant[k];
  }
  /* A junction starts at the voltage across the diode, but at most at half a volt for each diode. */
  for (int d = 0; d < c->device_count && near; d++) {
    const Device *device = &c->devices[d];
    if (device->kind != DIODE) continue;
    double across = y[device->unknown[0]] - y[device->unknown[1]];
    y[device->unknown[2]] = fmin(across, 0.5 * device->number[0]);
  }
}

double rest_of(const Circuit *circuit, const double *near, double *y) {
  size_t n = (size_t)circuit->size + 1;
  double *room = calloc(n * 5 + (size_t)circuit->entry_count + n * n, sizeof(double));
  Work w = {circuit, room, room + 5 * n, room + 5 * n + circuit->entry_count, room + n, room + 2 * n, room + 3 * n};
  double step = near ? NEAR_STEP_S : FIRST_STEP_S, left = -1;
  start(circuit, near, y);
  while (step < LAST_STEP_S && step >= LEAST_STEP_S) step = euler(&w, y, step) ? step * 2 : step / 8;
  for (int k = 0; k < LAST_ITERATIONS && step >= LAST_STEP_S; k++) {
    if (!newton_move(&w, y, y, 0)) break;
    for (int j = 0; j < circuit->size; j++) y[j] += w.move[j];
    left = largest_move(&w);
  }
  free(room);
  return left;
}
