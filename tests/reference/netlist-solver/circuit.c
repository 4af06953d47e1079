/*
 * A netlist's equations: numbered nodes, passive parts as entries of M and of the linear part, and the devices' places.
 */
#define _POSIX_C_SOURCE 200809L
#include "circuit.h"

#include <stdlib.h>
#include <string.h>

static const double BOLTZMANN_J_PER_K = 1.380649e-23, ELEMENTARY_CHARGE_C = 1.602176634e-19;
static const double TWO_PI = 6.283185307179586476925;
/* Amperes are weighted by their voltage across 1 kOhm. */
static const double CURRENT_SCALE_A_PER_V = 1e-3;

enum { MOST_NUMBERS = 19 };

/* The numbers of each kind, in the order in which devices.c reads them. A netlist with any other number is refused. */
typedef struct Kind {
  const char *name;
  int terminals;
  const char *numbers[MOST_NUMBERS];
} Kind;

static const Kind KINDS[] = {
    {"resistor", 2, {"ohms"}},
    {"capacitor", 2, {"farads"}},
    {"inductor", 2, {"henries"}},
    {"voltageSource", 2, {"volts"}},
    {"converter", 2, {"ratio", "outputOhms"}},
    {"diode", 2,
     {"inSeries", "saturationCurrentA", "emissionCoefficient", "seriesOhms", "junctionCapacitanceF",
      "parallelConductanceS", "builtInV", "transitSeconds"}},
    {"npn", 3,
     {"saturationCurrentA", "forwardBeta", "reverseBeta", "earlyV", "collectorLeakageA", "collectorLeakageEmission"}},
    {"pnp", 3,
     {"saturationCurrentA", "forwardBeta", "reverseBeta", "earlyV", "collectorLeakageA", "collectorLeakageEmission"}},
    {"nJfet", 3, {"betaAPerV2", "thresholdV", "lambdaPerV", "gateSaturationCurrentA"}},
    {"pJfet", 3, {"betaAPerV2", "thresholdV", "lambdaPerV", "gateSaturationCurrentA"}},
    {"nMosfet", 3, {"betaAPerV2", "thresholdV", "lambdaPerV", "gateSaturationCurrentA"}},
    {"opamp", 3,
     {"gainBandwidthHz", "slewVPerS", "openLoopGain", "headroomHighV", "headroomLowV", "inputBiasA", "quiescentA",
      "limitKneeV", "limitSlewExcessV", "startingSupplyV", "leastSupplyV", "commonModeHeadroomHighV",
      "commonModeHeadroomLowV", "commonModeReversal", "outputSaturationOhms", "outputSourceLimitA",
      "outputSinkLimitA", "currentLimitV", "currentLimitKnee"}},
};
/*
 * The last two of a diode and of a bipolar transistor, three of an op-amp from OPAMP_RANGE and all from OPAMP_LOAD are each
 * all present or all absent.
 */
enum { DIODE_CHARGE = 6, BIPOLAR_LEAK = 4, OPAMP_BIAS = 5, OPAMP_RANGE = 11, OPAMP_LOAD = 14 };
/* The charge of a junction is counted in volts across this. */
static const double CHARGE_UNIT_F = 1e-12;
/* Members that do not describe the circuit, and those that are read by name. */
static const char *const OTHER_MEMBERS[] = {"ref", "kind", "nodes", "origin", "supplyNodes", "junctionCapacitanceLaw"};
#define COUNT(array) (int)(sizeof(array) / sizeof *(array))

static const Kind *kind_of(const Json *part) {
  const char *name = json_text(part, "kind");
  for (int k = 0; k < COUNT(KINDS); k++)
    if (strcmp(KINDS[k].name, name) == 0) return &KINDS[k];
  fail("%s: a %s is not known here", json_text(part, "ref"), name);
  return NULL;
}

static int is_kind(const Kind *kind, const char *name) { return strcmp(kind->name, name) == 0; }

static int is_charged(const Json *part, const Kind *kind) {
  return is_kind(kind, "diode") && json_member(part, kind->numbers[DIODE_CHARGE]);
}

static void check_members(const Json *part, const Kind *kind) {
  for (const Json *member = part->first; member; member = member->next) {
    int is_known = 0;
    for (int k = 0; k < COUNT(OTHER_MEMBERS); k++) is_known |= strcmp(OTHER_MEMBERS[k], member->name) == 0;
    for (int k = 0; k < MOST_NUMBERS && kind->numbers[k]; k++) is_known |= strcmp(kind->numbers[k], member->name) == 0;
    if (!is_known) fail("%s: a %s with %s is not known here", json_text(part, "ref"), kind->name, member->name);
  }
  if (!is_kind(kind, "diode")) return;
  const char *law_name = json_text(part, "junctionCapacitanceLaw");
  if (strcmp(law_name, is_charged(part, kind) ? "abrupt" : "constant") != 0)
    fail("%s: this law of capacitance is not known here", json_text(part, "ref"));
}

/* While building: the circuit, and for a (row, column) its entry plus one. */
typedef struct Builder {
  Circuit *circuit;
  const char *ground;
  int capacity;
  int *entry_at;
} Builder;

static int find(const Circuit *circuit, const char *name) {
  for (int node = 0; node < circuit->node_count; node++)
    if (strcmp(circuit->names[node], name) == 0) return node;
  return -1;
}

int circuit_node(const Circuit *circuit, const char *name) {
  int node = find(circuit, name);
  if (node < 0) fail("the netlist has no net \"%s\"", name);
  return node;
}

static void add_node(Builder *b, const char *name) {
  Circuit *c = b->circuit;
  if (strcmp(name, b->ground) == 0 || find(c, name) >= 0) return;
  c->names = realloc(c->names, sizeof *c->names * (size_t)(c->node_count + 1));
  c->names[c->node_count++] = strdup(name);
}

static int entry(Builder *b, int row, int column) {
  Circuit *c = b->circuit;
  if (row >= c->size || column >= c->size) return 0;
  int *known = &b->entry_at[row * c->size + column];
  if (*known) return *known - 1;
  if (c->entry_count == b->capacity) {
    size_t more = (size_t)(b->capacity = b->capacity * 2 + 64);
    c->row = realloc(c->row, sizeof(int) * more);
    c->column = realloc(c->column, sizeof(int) * more);
    c->mass = realloc(c->mass, sizeof(double) * more);
    c->linear = realloc(c->linear, sizeof(double) * more);
  }
  int place = c->entry_count++;
  c->row[place] = row, c->column[place] = column;
  c->mass[place] = c->linear[place] = 0;
  *known = place + 1;
  return place;
}

/* The row of a node's current law: `size`, which means none, for ground and for a node with a fixed voltage. */
static int law(const Circuit *c, int node) { return node == c->size || c->is_driven[node] ? c->size : node; }

/* Adds a current from a to b in proportion to v_a - v_b. */
static void between(Builder *b, double *(*values)(Circuit *), int a, int to, double value) {
  Circuit *c = b->circuit;
  int rows[] = {law(c, a), law(c, to)}, columns[] = {a, to};
  for (int r = 0; r < 2; r++)
    for (int k = 0; k < 2; k++) {
      int place = entry(b, rows[r], columns[k]);
      values(c)[place] += r == k ? value : -value;
    }
}

static double *mass_of(Circuit *c) { return c->mass; }
static double *linear_of(Circuit *c) { return c->linear; }

static void add_linear(Builder *b, int row, int column, double value) {
  int place = entry(b, row, column);
  b->circuit->linear[place] += value;
}

static void add_mass(Builder *b, int row, int column, double value) {
  int place = entry(b, row, column);
  b->circuit->mass[place] += value;
}

static int unknown_of(const Builder *b, const Json *name) {
  return strcmp(name->text, b->ground) == 0 ? b->circuit->size : circuit_node(b->circuit, name->text);
}

static int terminals_of(const Builder *b, const Json *part, const char *member, int *unknowns) {
  const Json *list = json_member(part, member);
  int count = 0;
  for (const Json *name = list ? list->first : NULL; name; name = name->next) unknowns[count++] = unknown_of(b, name);
  return count;
}

static int own_unknowns(const Json *part, const Kind *kind) {
  if (is_charged(part, kind)) return 2;
  return is_kind(kind, "inductor") || is_kind(kind, "diode") || is_kind(kind, "opamp");
}

/* A device with its terminals and its own unknowns, from `own` on, whose rows are its own equations. */
static Device *place_device(Builder *b, const Json *part, const Kind *kind, int own) {
  Circuit *c = b->circuit;
  Device *d = &c->devices[c->device_count++];
  int count = terminals_of(b, part, "nodes", d->unknown);
  count += terminals_of(b, part, "supplyNodes", d->unknown + count);
  for (int k = 0; k < count; k++) d->row[k] = law(c, d->unknown[k]);
  for (int k = own_unknowns(part, kind); k > 0; k--) d->unknown[count] = d->row[count] = own++, count++;
  for (int r = 0; r < count; r++)
    for (int k = 0; k < count; k++) d->entry[r][k] = entry(b, d->row[r], d->unknown[k]);
  d->polarity = kind->name[0] == 'p' ? -1 : 1;
  return d;
}

static void place_diode(Builder *b, Device *d) {
  int own = d->unknown[2];
  d->kind = DIODE;
  between(b, mass_of, d->unknown[0], d->unknown[1], d->number[4] / d->number[0]);
  add_linear(b, own, d->unknown[0], -1);
  add_linear(b, own, d->unknown[1], 1);
  add_linear(b, own, own, 1);
}

/* The charge x flows from anode to cathode, through the series resistance; its row is 0 = q(vj) - x. */
static void place_charge(Builder *b, Device *d) {
  int x = d->unknown[3];
  d->is_charged = 1;
  d->charge_unit = CHARGE_UNIT_F;
  add_mass(b, d->row[0], x, CHARGE_UNIT_F);
  add_mass(b, d->row[1], x, -CHARGE_UNIT_F);
  add_mass(b, d->unknown[2], x, d->number[0] * d->number[3] * CHARGE_UNIT_F);
  add_linear(b, x, x, 1);
}

static void place_opamp(Builder *b, Device *d) {
  Circuit *c = b->circuit;
  int out = d->unknown[2], own = d->unknown[5];
  d->kind = OPAMP;
  for (int pin = 0; pin < 2; pin++) c->constant[d->row[pin]] -= d->number[OPAMP_BIAS];
  /* The output current enters its net; the op-amp's own equation is in the row of that current. */
  add_linear(b, d->row[2], own, -1);
  add_mass(b, own, out, 1 / (TWO_PI * d->number[0]));
  /* That current follows from the rest; it does not determine the step. */
  c->scale_floor[own] = 0;
}

static void place_part(Builder *b, const Json *part, const Kind *kind, int own) {
  Circuit *c = b->circuit;
  int node[8];
  if (terminals_of(b, part, "nodes", node) != kind->terminals)
    fail("%s: a %s has %d nodes", json_text(part, "ref"), kind->name, kind->terminals);
  double number[20] = {0};
  int is_opamp = is_kind(kind, "opamp"), is_diode = is_kind(kind, "diode");
  int is_bipolar = is_kind(kind, "npn") || is_kind(kind, "pnp");
  int is_ranged = is_opamp && json_member(part, kind->numbers[OPAMP_RANGE]);
  int is_loaded = is_opamp && json_member(part, kind->numbers[OPAMP_LOAD]);
  for (int k = 0; k < MOST_NUMBERS && kind->numbers[k]; k++) {
    int is_absent = (is_diode && k >= DIODE_CHARGE && !is_charged(part, kind)) ||
                    (is_bipolar && k >= BIPOLAR_LEAK && !json_member(part, kind->numbers[BIPOLAR_LEAK])) ||
                    (is_opamp && k >= OPAMP_RANGE && !(k < OPAMP_LOAD ? is_ranged : is_loaded));
    if (!is_absent) number[k] = json_number(part, kind->numbers[k]);
  }
  if (is_kind(kind, "resistor")) between(b, linear_of, node[0], node[1], 1 / number[0]);
  else if (is_kind(kind, "capacitor")) between(b, mass_of, node[0], node[1], number[0]);
  else if (is_kind(kind, "voltageSource")) c->constant[node[0]] = number[0];
  else if (is_kind(kind, "inductor")) {
    /* The row v_a - v_b = L di/dt; the current leaves a and enters b. */
    for (int end = 0; end < 2; end++) {
      add_linear(b, law(c, node[end]), own, end ? -1 : 1);
      add_linear(b, own, node[end], end ? 1 : -1);
    }
    add_mass(b, own, own, number[0]);
    c->scale_floor[own] = CURRENT_SCALE_A_PER_V;
  } else if (is_kind(kind, "converter")) {
    /* i = (ratio v_s - v_o)/R: ratio i leaves the supply, i enters the output. */
    double share[] = {number[0], -1};
    for (int r = 0; r < 2; r++)
      for (int k = 0; k < 2; k++) add_linear(b, law(c, node[r]), node[k], share[r] * share[k] / number[1]);
  } else {
    Device *d = place_device(b, part, kind, own);
    memcpy(d->number, number, sizeof number);
    d->is_ranged = is_ranged, d->is_loaded = is_loaded;
    if (is_kind(kind, "diode")) place_diode(b, d);
    else if (is_opamp) place_opamp(b, d);
    else d->kind = is_bipolar ? BIPOLAR : FIELD_EFFECT;
    if (is_charged(part, kind)) place_charge(b, d);
  }
}

static void number_unknowns(Builder *b, const Json *netlist, const Json *parts) {
  Circuit *c = b->circuit;
  add_node(b, json_text(netlist, "input"));
  c->size = 0;
  for (const Json *part = parts->first; part; part = part->next) {
    const Kind *kind = kind_of(part);
    check_members(part, kind);
    static const char *const LISTS[] = {"nodes", "supplyNodes"};
    for (int k = 0; k < 2; k++) {
      const Json *list = json_member(part, LISTS[k]);
      for (const Json *name = list ? list->first : NULL; name; name = name->next) add_node(b, name->text);
    }
    c->size += own_unknowns(part, kind);
    c->device_count++;
  }
  c->size += c->node_count;
}

static void hold(Circuit *c, int node) { c->is_driven[node] = 1; }

static void find_held(Builder *b, const Json *parts) {
  Circuit *c = b->circuit;
  hold(c, c->input);
  for (const Json *part = parts->first; part; part = part->next) {
    if (strcmp(json_text(part, "kind"), "voltageSource") != 0) continue;
    int node[2];
    terminals_of(b, part, "nodes", node);
    if (node[1] != c->size || node[0] == c->size) fail("%s does not stand on ground", json_text(part, "ref"));
    hold(c, node[0]);
    double volts = json_number(part, "volts");
    if (volts > c->highest_v) c->highest_v = volts;
  }
}

Circuit circuit_of(const Json *netlist) {
  Circuit circuit = {0}, *c = &circuit;
  Builder builder = {c, json_text(netlist, "ground"), 0, NULL}, *b = &builder;
  const Json *parts = json_member(netlist, "parts");
  if (!parts) fail("the netlist has no parts");
  c->vt = BOLTZMANN_J_PER_K * json_number(netlist, "temperatureK") / ELEMENTARY_CHARGE_C;
  number_unknowns(b, netlist, parts);
  c->input = circuit_node(c, json_text(netlist, "input"));
  c->output = circuit_node(c, json_text(netlist, "output"));
  size_t size = (size_t)c->size;
  b->entry_at = calloc(size * size, sizeof(int));
  c->is_driven = calloc(size + 1, sizeof(int));
  c->constant = calloc(size + 1, sizeof(double));
  c->scale_floor = malloc(sizeof(double) * (size + 1));
  for (size_t k = 0; k <= size; k++) c->scale_floor[k] = 1;
  c->devices = calloc((size_t)c->device_count, sizeof(Device));
  c->device_count = 0;
  find_held(b, parts);
  /* Entry 0 is at row and column 0 when it is requested; values for ground go to a separate entry. */
  entry(b, 0, 0);
  b->entry_at[0] = 0;
  c->row[0] = c->column[0] = c->size;
  for (int node = 0; node < c->node_count; node++)
    if (c->is_driven[node]) add_linear(b, node, node, 1);
  int own = c->node_count;
  for (const Json *part = parts->first; part; part = part->next) {
    const Kind *kind = kind_of(part);
    place_part(b, part, kind, own);
    own += own_unknowns(part, kind);
  }
  free(b->entry_at);
  return circuit;
}

void circuit_evaluate(const Circuit *c, const double *y, double u, double *f, double *jacobian) {
  memcpy(f, c->constant, sizeof(double) * (size_t)(c->size + 1));
  f[c->input] += u;
  for (int e = 1; e < c->entry_count; e++) f[c->row[e]] -= c->linear[e] * y[c->column[e]];
  if (jacobian)
    for (int e = 0; e < c->entry_count; e++) jacobian[e] = -c->linear[e];
  for (int d = 0; d < c->device_count; d++) device_stamp(&c->devices[d], c->vt, y, f, jacobian);
  f[c->size] = 0;
}

void circuit_mass_times(const Circuit *c, const double *x, double *result) {
  memset(result, 0, sizeof(double) * (size_t)(c->size + 1));
  for (int e = 1; e < c->entry_count; e++) result[c->row[e]] += c->mass[e] * x[c->column[e]];
}
