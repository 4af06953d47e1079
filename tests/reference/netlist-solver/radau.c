/*
 * Three-stage Radau IIA of order five for M y' = f with a constant, singular M: collocation at c = (4 -+ sqrt 6)/10 and 1,
 * simplified Newton steps in the basis in which A^-1 is one real and one complex number, error by the embedded formula of
 * order three, samples and their means from the collocation polynomial.
 *
 * Source: E. Hairer, G. Wanner, Solving Ordinary Differential Equations II, section IV.8 (RADAU5, whose transformation and
 * constants these are).
 */
#include "radau.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "sparse.h"

#define ROOT6 2.449489742783178098197284
static const double C1 = (4 - ROOT6) / 10, C2 = (4 + ROOT6) / 10;
static const double GAMMA = 3.6378342527444957322, ALPHA = 2.6810828736277521339, BETA = 3.0504301992474105694;
static const double T[3][3] = {{9.1232394870892942792e-02, -0.14125529502095420843, -3.0029194105147424492e-02},
                               {0.24171793270710701896, 0.20412935229379993199, 0.38294211275726193779},
                               {0.96604818261509293619, 1, 0}};
static const double TI[3][3] = {{4.3255798900631553510, 0.33919925181580986954, 0.54177053993587487119},
                                {-4.1787185915519047273, -0.32768282076106238708, 0.47662355450055045196},
                                {-0.50287263494578687595, 2.5719269498556054292, -0.59603920482822492497}};
static const double E[3] = {-(13 + 7 * ROOT6) / 3, (-13 + 7 * ROOT6) / 3, -1.0 / 3};

enum { MOST_ITERATIONS = 10 };
/* Newton's iteration ends at this fraction of the tolerance; if rounding stops it, at the second. */
static const double NEWTON_SHARE = 1e-2, ROUNDING_SHARE = 0.1;
static const double SAFETY = 0.9, MOST_GROWTH = 4, LEAST_GROWTH = 0.2, FIRST_STEP_S = 1e-8, LEAST_STEP_S = 1e-14;
/* Of the time after many steps. */
static const double ROUNDING_S = 1e-13;

typedef struct Solver {
  const Circuit *c;
  const Signal *signal;
  const Tolerance *tolerance;
  int n;
  Sparse sparse;
  int has_pivots;
  double *rest, *f, *jacobian, *entries, *real, *work, *scale, *mass_w[3], *w[3], *z[3], *old[3], *stage, *stage_f[3];
  double *slope, *error, *area;
  Complex *complex_entries, *complex, *complex_work, *complex_x;
  double old_h;
  Counts *counts;
} Solver;

static double *vector(int count) { return calloc((size_t)count, sizeof(double)); }

static Solver solver_of(const Circuit *c, const Signal *signal, const Tolerance *tolerance, const double *y, Counts *counts) {
  int n = c->size + 1, entries = c->entry_count;
  Solver s = {.c = c, .signal = signal, .tolerance = tolerance, .n = c->size, .counts = counts};
  double **const vectors[] = {&s.rest, &s.f, &s.work, &s.scale, &s.stage, &s.slope, &s.error, &s.area};
  for (int k = 0; k < 8; k++) *vectors[k] = vector(n);
  for (int k = 0; k < 3; k++)
    s.mass_w[k] = vector(n), s.w[k] = vector(n), s.z[k] = vector(n), s.old[k] = vector(n), s.stage_f[k] = vector(n);
  s.jacobian = vector(entries), s.entries = vector(entries);
  s.complex_entries = calloc((size_t)entries, sizeof(Complex));
  s.complex_x = calloc((size_t)n, sizeof(Complex)), s.complex_work = calloc((size_t)n, sizeof(Complex));
  memcpy(s.rest, y, sizeof(double) * (size_t)n);
  return s;
}

static void solver_free(Solver *s) {
  double *const vectors[] = {s->rest, s->f, s->work, s->scale, s->stage, s->slope, s->error, s->area, s->jacobian, s->entries, s->real};
  for (int k = 0; k < 11; k++) free(vectors[k]);
  for (int k = 0; k < 3; k++) free(s->mass_w[k]), free(s->w[k]), free(s->z[k]), free(s->old[k]), free(s->stage_f[k]);
  free(s->complex_entries), free(s->complex), free(s->complex_work), free(s->complex_x);
  if (s->has_pivots) sparse_free(&s->sparse);
}

/* Both factorisations for a step of h from the present Jacobian; new pivots if requested or needed. */
static int factorise(Solver *s, double h, int has_new_pivots) {
  const Circuit *c = s->c;
  for (int e = 1; e < c->entry_count; e++) {
    double rate = c->mass[e] / h;
    s->entries[e] = GAMMA * rate - s->jacobian[e];
    s->complex_entries[e] = (Complex){ALPHA * rate - s->jacobian[e], BETA * rate};
  }
  if (!s->has_pivots || has_new_pivots) {
    if (s->has_pivots) sparse_free(&s->sparse);
    s->counts->pivots++;
    s->has_pivots = 1;
    if (!sparse_choose(&s->sparse, s->n, c->entry_count, c->row, c->column, s->entries)) return 0;
    s->real = realloc(s->real, sizeof(double) * (size_t)s->sparse.value_count);
    s->complex = realloc(s->complex, sizeof(Complex) * (size_t)s->sparse.value_count);
  }
  return sparse_factorise(&s->sparse, s->entries, s->real) &&
         sparse_factorise_complex(&s->sparse, s->complex_entries, s->complex);
}

/* z of the stages: the polynomial of the step before, extrapolated; zero if there is none. */
static void guess(Solver *s, double h) {
  double times[] = {C1, C2, 1};
  for (int j = 0; j < 3; j++) {
    double x = 1 + times[j] * h / s->old_h;
    /* Lagrange through 0 at 0 and the stages, minus the value at the end of the step. */
    double a = x * (x - C2) * (x - 1) / (C1 * (C1 - C2) * (C1 - 1));
    double b = x * (x - C1) * (x - 1) / (C2 * (C2 - C1) * (C2 - 1));
    double e = x * (x - C1) * (x - C2) / ((1 - C1) * (1 - C2));
    for (int k = 0; k < s->n; k++)
      s->z[j][k] = s->old_h > 0 ? a * s->old[0][k] + b * s->old[1][k] + (e - 1) * s->old[2][k] : 0;
  }
  for (int j = 0; j < 3; j++)
    for (int k = 0; k < s->n; k++) s->w[j][k] = TI[j][0] * s->z[0][k] + TI[j][1] * s->z[1][k] + TI[j][2] * s->z[2][k];
}

/* One simplified Newton step of the stages. Returns its size in units of the tolerance. */
static double iterate(Solver *s, double t, const double *y, double h) {
  const Circuit *c = s->c;
  double times[] = {C1, C2, 1};
  for (int j = 0; j < 3; j++) {
    for (int k = 0; k <= s->n; k++) s->stage[k] = y[k] + s->z[j][k];
    circuit_evaluate(c, s->stage, signal_at(s->signal, t + times[j] * h), s->stage_f[j], NULL);
    circuit_mass_times(c, s->w[j], s->mass_w[j]);
  }
  double **f = s->stage_f, **m = s->mass_w, r = 1 / h;
  for (int k = 0; k < s->n; k++) {
    s->error[k] = TI[0][0] * f[0][k] + TI[0][1] * f[1][k] + TI[0][2] * f[2][k] - GAMMA * r * m[0][k];
    s->complex_x[k].re = TI[1][0] * f[0][k] + TI[1][1] * f[1][k] + TI[1][2] * f[2][k] - r * (ALPHA * m[1][k] - BETA * m[2][k]);
    s->complex_x[k].im = TI[2][0] * f[0][k] + TI[2][1] * f[1][k] + TI[2][2] * f[2][k] - r * (BETA * m[1][k] + ALPHA * m[2][k]);
  }
  sparse_solve(&s->sparse, s->real, s->error, s->work);
  sparse_solve_complex(&s->sparse, s->complex, s->complex_x, s->complex_work);
  double largest = 0;
  for (int k = 0; k < s->n; k++) {
    s->w[0][k] += s->error[k], s->w[1][k] += s->complex_x[k].re, s->w[2][k] += s->complex_x[k].im;
    for (int j = 0; j < 3; j++) {
      double z = T[j][0] * s->w[0][k] + T[j][1] * s->w[1][k] + T[j][2] * s->w[2][k];
      double size = fabs(z - s->z[j][k]) / s->scale[k];
      s->z[j][k] = z;
      if (!(size <= largest)) largest = size;
    }
  }
  return largest;
}

static int solve_stages(Solver *s, double t, const double *y, double h) {
  double last = INFINITY, rate = 1;
  guess(s, h);
  for (int k = 0; k < MOST_ITERATIONS; k++) {
    double size = iterate(s, t, y, h);
    if (!isfinite(size)) return 0;
    if (k > 0) rate = fmax(size / last, 1e-3);
    if (rate < 1 && size * rate / (1 - rate) < NEWTON_SHARE) return 1;
    if (k > 0 && rate > 0.5 && size < ROUNDING_SHARE) return 1;
    if (rate >= 2 && k > 1) return 0;
    last = size;
  }
  return 0;
}

static double norm(const Solver *s, const double *error) {
  double sum = 0;
  for (int k = 0; k < s->n; k++) {
    double size = s->c->scale_floor[k] > 0 ? error[k] / s->scale[k] : 0;
    sum += size * size;
  }
  return sqrt(sum / s->n);
}

/* The embedded error of the step, in units of the tolerance. @param f f at its start. */
static double error_of(Solver *s, double t, const double *y, double h, int is_first) {
  for (int k = 0; k < s->n; k++) s->stage[k] = (E[0] * s->z[0][k] + E[1] * s->z[1][k] + E[2] * s->z[2][k]) / h;
  circuit_mass_times(s->c, s->stage, s->slope);
  for (int k = 0; k < s->n; k++) s->error[k] = s->f[k] + s->slope[k];
  sparse_solve(&s->sparse, s->real, s->error, s->work);
  double size = norm(s, s->error);
  if (size < 1 || !is_first) return size;
  /* Filtered once more, as in RADAU5: the plain estimate is pessimistic for stiff components. */
  for (int k = 0; k < s->n; k++) s->stage[k] = y[k] + s->error[k];
  circuit_evaluate(s->c, s->stage, signal_at(s->signal, t), s->stage_f[0], NULL);
  for (int k = 0; k < s->n; k++) s->error[k] = s->stage_f[0][k] + s->slope[k];
  sparse_solve(&s->sparse, s->real, s->error, s->work);
  return norm(s, s->error);
}

/* Passes on the samples within the step that ended in z. Returns the number of samples so far. */
static long hand_out_values(Solver *s, double t, double h, const double *y, const Samples *samples, long done) {
  for (; done < samples->count && (double)done / samples->rate_hz - t <= h * (1 + 1e-9); done++) {
    double x = ((double)done / samples->rate_hz - t) / h;
    double a = x * (x - C2) * (x - 1) / (C1 * (C1 - C2) * (C1 - 1));
    double b = x * (x - C1) * (x - 1) / (C2 * (C2 - C1) * (C2 - 1));
    double e = x * (x - C1) * (x - C2) / ((1 - C1) * (1 - C2));
    for (int k = 0; k < s->c->node_count; k++) s->stage[k] = y[k] + a * s->z[0][k] + b * s->z[1][k] + e * s->z[2][k];
    samples->take(samples->context, s->stage);
  }
  return done;
}

/* Integral of x(x - p)(x - q) from 0 to x. */
static double integral(double x, double p, double q) { return x * x * ((x / 4 - (p + q) / 3) * x + p * q / 2); }

/* Adds the integral of the step's polynomial from x = from to x = to, divided by h. */
static void add_area(Solver *s, const double *y, double h, double from, double to) {
  double a = (integral(to, C2, 1) - integral(from, C2, 1)) / (C1 * (C1 - C2) * (C1 - 1));
  double b = (integral(to, C1, 1) - integral(from, C1, 1)) / (C2 * (C2 - C1) * (C2 - 1));
  double e = (integral(to, C1, C2) - integral(from, C1, C2)) / ((1 - C1) * (1 - C2));
  for (int k = 0; k < s->c->node_count; k++)
    s->area[k] += h * ((to - from) * y[k] + a * s->z[0][k] + b * s->z[1][k] + e * s->z[2][k]);
}

/* The same for means: s->area is the integral from the end of the last sample that was passed on. */
static long hand_out_means(Solver *s, double t, double h, const double *y, const Samples *samples, long done) {
  double from = 0;
  while (done < samples->count) {
    double to = (((double)done + 0.5) / samples->rate_hz - t) / h;
    add_area(s, y, h, from, fmin(to, 1));
    if ((to - 1) * h > ROUNDING_S) break;
    for (int k = 0; k < s->c->node_count; k++) s->stage[k] = s->area[k] * samples->rate_hz, s->area[k] = 0;
    samples->take(samples->context, s->stage);
    from = fmin(to, 1);
    done++;
  }
  return done;
}

long radau_run(const Circuit *circuit, const Signal *signal, const Tolerance *tolerance, double *y, const Samples *samples,
               Counts *counts) {
  Solver solver = solver_of(circuit, signal, tolerance, y, counts), *s = &solver;
  double t = 0, h = FIRST_STEP_S;
  double end = ((double)(samples->count - 1) + (samples->are_means ? 0.5 : 0)) / samples->rate_hz;
  /* Before t = 0 it is at rest. */
  for (int k = 0; k < circuit->node_count; k++) s->area[k] = 0.5 * y[k] / samples->rate_hz;
  long done = 0;
  int has_failed = 0, is_after_refusal = 0;
  while (done < samples->count && h > LEAST_STEP_S) {
    h = fmin(fmin(h, tolerance->longest_step_s), end - t);
    for (int k = 0; k < s->n; k++) {
      double floor = circuit->scale_floor[k];
      s->scale[k] = (tolerance->absolute_v + tolerance->relative * fabs(y[k] - s->rest[k])) * (floor > 0 ? floor : 1);
      if (floor > 0 && floor < 1) s->scale[k] = tolerance->absolute_v * floor + tolerance->relative * fabs(y[k] - s->rest[k]);
    }
    circuit_evaluate(circuit, y, signal_at(signal, t), s->f, s->jacobian);
    if (!factorise(s, h, has_failed) || !solve_stages(s, t, y, h)) {
      /* The first time with new pivots, then with a shorter step. */
      if (has_failed) h /= 2, s->old_h = 0;
      has_failed = !has_failed;
      counts->refused++;
      continue;
    }
    has_failed = 0;
    double size = error_of(s, t, y, h, is_after_refusal || t == 0);
    /* An exponential that overflows in the estimate is an error too large. */
    if (!isfinite(size)) size = 1e10;
    double growth = fmin(MOST_GROWTH, fmax(LEAST_GROWTH, SAFETY * pow(fmax(size, 1e-10), -0.25)));
    if (size > 1) {
      h *= growth;
      is_after_refusal = 1;
      counts->refused++;
      continue;
    }
    done = (samples->are_means ? hand_out_means : hand_out_values)(s, t, h, y, samples, done);
    for (int j = 0; j < 3; j++) memcpy(s->old[j], s->z[j], sizeof(double) * (size_t)s->n);
    s->old_h = h;
    t += h;
    for (int k = 0; k < s->n; k++) y[k] += s->z[2][k];
    h *= is_after_refusal ? fmin(growth, 1) : growth;
    is_after_refusal = 0;
    counts->steps++;
  }
  solver_free(s);
  return done;
}
