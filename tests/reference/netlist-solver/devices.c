/*
 * The equations of the devices, written from those at the heads of the files in engine/devices/ and from the
 * numbers of the netlist, with their derivatives. Places of numbers: see circuit.c.
 */
#include <math.h>

#include "circuit.h"

static const double TWO_PI = 6.283185307179586476925;

/* exp, which continues as its tangent above 200 so that a trial of Newton's method does not overflow. */
static double growing_exponential(double argument, double *slope) {
  double bounded = argument < 200 ? argument : 200;
  *slope = exp(bounded);
  return *slope * (1 + argument - bounded);
}

/* Current `amps` leaves the net of `from` and enters that of `to`, with its derivatives for the unknowns `by`. */
static void flow(const Device *d, int from, int to, double amps, int count, const int *by, const double *slopes,
                 double *f, double *jacobian) {
  f[d->row[from]] -= amps;
  f[d->row[to]] += amps;
  if (!jacobian) return;
  for (int k = 0; k < count; k++) {
    jacobian[d->entry[from][by[k]]] -= slopes[k];
    jacobian[d->entry[to][by[k]]] += slopes[k];
  }
}

/* q(v) of one junction that carries `amps`, beside C_0 v, and its derivative; `siemens` is that of the current. */
static double junction_charge(const Device *d, double v, double amps, double siemens, double *farads) {
  const double zero_bias = d->number[4], built_in = d->number[6], transit = d->number[7];
  double end = built_in / 2, e = v - end, root = sqrt(1 - (e < 0 ? v : end) / built_in);
  double layer = 2 * zero_bias * built_in * (1 - root), c = zero_bias / root;
  if (e > 0) {
    /* C goes on as a line with the slope C_0 sqrt(2)/V_J. */
    double rise = zero_bias * sqrt(2) / built_in;
    layer += c * e + rise * e * e / 2;
    c += rise * e;
  }
  *farads = c - zero_bias + transit * siemens;
  return layer - zero_bias * v + transit * amps;
}

/*
 * Unknowns: anode, cathode, junction voltage, and if it holds charge, that. The string's own row is
 * R dq/dt = v_a - v_b - vj - R i.
 */
static void diode(const Device *d, double vt, const double *y, double *f, double *jacobian) {
  enum { ANODE, CATHODE, JUNCTION, CHARGE };
  const double *n = d->number;
  double vj = y[d->unknown[JUNCTION]], nvt = n[0] * n[2] * vt, slope;
  double through = n[1] * (growing_exponential(vj / nvt, &slope) - 1);
  double amps = through + n[5] * vj;
  double siemens = n[1] * slope / nvt + n[5], ohms = n[0] * n[3];
  flow(d, ANODE, CATHODE, amps, 1, (int[]){JUNCTION}, &siemens, f, jacobian);
  f[d->row[JUNCTION]] -= ohms * amps;
  if (jacobian) jacobian[d->entry[JUNCTION][JUNCTION]] -= ohms * siemens;
  if (!d->is_charged) return;
  /* The slope of one junction's current by its own voltage is that of the string times their number. */
  double farads, charge = junction_charge(d, vj / n[0], through, n[0] * n[1] * slope / nvt, &farads);
  f[d->row[CHARGE]] += charge / d->charge_unit;
  if (jacobian) jacobian[d->entry[CHARGE][JUNCTION]] += farads / n[0] / d->charge_unit;
}

/* Unknowns: collector, base, emitter. */
static void bipolar(const Device *d, double vt, const double *y, double *f, double *jacobian) {
  enum { COLLECTOR, BASE, EMITTER };
  const double i_s = d->number[0], bf = d->number[1], br = d->number[2], va = d->number[3];
  double sign = d->polarity, b = y[d->unknown[BASE]];
  double vbe = sign * (b - y[d->unknown[EMITTER]]), vbc = sign * (b - y[d->unknown[COLLECTOR]]), df, dr;
  double forward = i_s * (growing_exponential(vbe / vt, &df) - 1);
  double reverse = i_s * (growing_exponential(vbc / vt, &dr) - 1);
  double gf = i_s * df / vt, gr = i_s * dr / vt, early = 1 - vbc / va;
  /* Between base and collector alone: i_R/beta_R, and a leak with an emission coefficient of its own. */
  double across = reverse / br, across_s = gr / br, dl;
  if (d->number[4] > 0) {
    double leak_vt = d->number[5] * vt;
    across += d->number[4] * (growing_exponential(vbc / leak_vt, &dl) - 1);
    across_s += d->number[4] * dl / leak_vt;
  }
  double collector = sign * ((forward - reverse) * early - across), base = sign * (forward / bf + across);
  /* Derivatives by v_BE and v_BC, then by the three nodes; the signs of voltage and current cancel. */
  double cf = gf * early, cr = -gr * early - (forward - reverse) / va - across_s, bf_s = gf / bf, br_s = across_s;
  int by[] = {COLLECTOR, BASE, EMITTER};
  flow(d, COLLECTOR, EMITTER, collector, 3, by, (double[]){-cr, cf + cr, -cf}, f, jacobian);
  flow(d, BASE, EMITTER, base, 3, by, (double[]){-br_s, bf_s + br_s, -bf_s}, f, jacobian);
}

/* Channel current and its derivatives by v_GS and v_DS, v_DS >= 0. */
static double channel(const Device *d, double vgs, double vds, double *by_gs, double *by_ds) {
  const double beta = d->number[0], lambda = d->number[2];
  double u = vgs - d->number[1], length = beta * (1 + lambda * vds);
  *by_gs = *by_ds = 0;
  if (u <= 0) return 0;
  if (vds >= u) {
    *by_gs = length * 2 * u;
    *by_ds = beta * lambda * u * u;
    return length * u * u;
  }
  double shape = vds * (2 * u - vds);
  *by_gs = length * 2 * vds;
  *by_ds = length * (2 * u - 2 * vds) + beta * lambda * shape;
  return length * shape;
}

/* Unknowns: drain, gate, source. The channel is the same in both directions. */
static void field_effect(const Device *d, double vt, const double *y, double *f, double *jacobian) {
  enum { DRAIN, GATE, SOURCE };
  double sign = d->polarity, i_s = d->number[3], slope;
  int is_turned = sign * (y[d->unknown[DRAIN]] - y[d->unknown[SOURCE]]) < 0;
  int upper = is_turned ? SOURCE : DRAIN, lower = is_turned ? DRAIN : SOURCE;
  double vgs = sign * (y[d->unknown[GATE]] - y[d->unknown[lower]]);
  double vds = sign * (y[d->unknown[upper]] - y[d->unknown[lower]]), by_gs, by_ds;
  double amps = sign * channel(d, vgs, vds, &by_gs, &by_ds);
  flow(d, upper, lower, amps, 3, (int[]){GATE, upper, lower}, (double[]){by_gs, by_ds, -by_gs - by_ds}, f, jacobian);
  if (i_s == 0) return;
  for (int end = 0; end < 2; end++) {
    int to = end ? SOURCE : DRAIN;
    double v = sign * (y[d->unknown[GATE]] - y[d->unknown[to]]);
    double gate = sign * i_s * (growing_exponential(v / vt, &slope) - 1), siemens = i_s * slope / vt;
    flow(d, GATE, to, gate, 2, (int[]){GATE, to}, (double[]){siemens, -siemens}, f, jacobian);
  }
}

/* Zero, then a quadratic knee, then slope one: q(e) and p(e) of the op-amp's limits. */
static double knee(double e, double k, double *slope) {
  if (e <= 0) return *slope = 0;
  if (e <= k) return *slope = e / k, e * e / (2 * k);
  return *slope = 1, e - k / 2;
}

/* v/width, limited to 0..1. */
static double ramp(double v, double width, double *slope) {
  *slope = v > 0 && v < width ? 1 / width : 0;
  return v <= 0 ? 0 : v >= width ? 1 : v / width;
}

/*
 * Unknowns: v+, v-, x, positive and negative pin, current out of the output. The last one's row is the op-amp's own
 * equation, dx/dt divided by w.
 */
static void opamp(const Device *d, const double *y, double *f, double *jacobian) {
  enum { PLUS, MINUS, OUT, POSITIVE, NEGATIVE, CURRENT };
  const double *n = d->number;
  const double w = TWO_PI * n[0], slew = n[1], gain = n[2], k = n[7], clamp = slew / n[8] / w;
  double plus = y[d->unknown[PLUS]], x = y[d->unknown[OUT]];
  double positive = y[d->unknown[POSITIVE]], negative = y[d->unknown[NEGATIVE]];
  double high = positive - n[3], low = negative + n[4], vd = plus - y[d->unknown[MINUS]];
  double over_s = 0, under_s = 0, above_s, below_s, turn = n[13], middle = (high + low) / 2;
  double i = y[d->unknown[CURRENT]], high_s = 0, low_s = 0;
  if (d->is_loaded) {
    double ohms = n[14], source = n[15], sink = n[16], volts = n[17], width = n[18];
    high -= ohms * i + volts * knee(i / source - 1, width, &high_s);
    low -= ohms * i - volts * knee(-i / sink - 1, width, &low_s);
    high_s = -ohms - volts / source * high_s, low_s = -ohms - volts / sink * low_s;
  }
  /* A supply too small for both headrooms: both limits are in the middle. */
  double own_s = low > high ? 0.5 : 1, other_s = 1 - own_s;
  if (low > high) high = low = (high + low) / 2;
  if (d->is_ranged) {
    vd -= knee(plus - positive + n[11], k, &over_s);
    vd += turn * knee(negative + n[12] - plus, k, &under_s);
  }
  double drive = w * vd / slew, root = sqrt(1 + drive * drive), by_vd = 1 / (root * root * root);
  double limit = clamp * (knee(x - high, k, &above_s) - knee(low - x, k, &below_s));
  int own = d->row[CURRENT];
  f[own] += slew / w * drive / root - (x - middle) / gain - limit;
  double draw_s, share_s, between = positive - negative;
  double draw = n[6] * ramp(between, n[9], &draw_s), share = ramp(between, n[10], &share_s);
  double sourced = i > 0 ? i : 0, sunk = i > 0 ? 0 : -i;
  f[d->row[POSITIVE]] -= draw + share * sourced;
  f[d->row[NEGATIVE]] += draw + share * sunk;
  if (!jacobian) return;
  const int *by = d->entry[CURRENT];
  jacobian[by[PLUS]] += by_vd * (1 - over_s - turn * under_s);
  jacobian[by[MINUS]] -= by_vd;
  jacobian[by[OUT]] -= 1 / gain + clamp * (above_s + below_s);
  jacobian[by[POSITIVE]] += clamp * (own_s * above_s + other_s * below_s) + 0.5 / gain + by_vd * over_s;
  jacobian[by[NEGATIVE]] += clamp * (own_s * below_s + other_s * above_s) + 0.5 / gain + by_vd * turn * under_s;
  double own_end = own_s * high_s + other_s * low_s, other_end = own_s * low_s + other_s * high_s;
  jacobian[by[CURRENT]] += clamp * (above_s * own_end + below_s * other_end);
  double in_s = n[6] * draw_s + share_s * sourced, out_s = n[6] * draw_s + share_s * sunk;
  jacobian[d->entry[POSITIVE][POSITIVE]] -= in_s;
  jacobian[d->entry[POSITIVE][NEGATIVE]] += in_s;
  jacobian[d->entry[POSITIVE][CURRENT]] -= i > 0 ? share : 0;
  jacobian[d->entry[NEGATIVE][POSITIVE]] += out_s;
  jacobian[d->entry[NEGATIVE][NEGATIVE]] -= out_s;
  jacobian[d->entry[NEGATIVE][CURRENT]] -= i > 0 ? 0 : share;
}

void device_stamp(const Device *device, double vt, const double *y, double *f, double *jacobian) {
  switch (device->kind) {
    case DIODE: diode(device, vt, y, f, jacobian); return;
    case BIPOLAR: bipolar(device, vt, y, f, jacobian); return;
    case FIELD_EFFECT: field_effect(device, vt, y, f, jacobian); return;
    case OPAMP: opamp(device, y, f, jacobian); return;
  }
}
