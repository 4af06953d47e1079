#ifndef CIRCUIT_H
#define CIRCUIT_H

#include "json.h"

/*
 * The equations of a netlist,
 *
 *   M dy/dt = f(u, y)     y: voltages of nodes, currents of inductors, junction voltages of diodes, currents out of op-amps
 *
 * one row of Kirchhoff's current law a node (currents out of it, with a minus), except at sources and at the input, where
 * 0 = E - v. u is the input's voltage. Matrices are lists of entries (row, column); entry 0 receives the values for
 * ground.
 */
typedef struct Device {
  enum { DIODE, BIPOLAR, FIELD_EFFECT, OPAMP } kind;
  int polarity;
  int is_ranged, is_loaded, is_charged;
  /* Its unknowns, `size` for ground, and the rows of Kirchhoff's law for the same nodes, `size` if there is none. */
  int unknown[6], row[6];
  /* Entries of df/dy, [row][unknown]. */
  int entry[6][6];
  double number[20];
  double charge_unit; /* C for each volt of the unknown that counts the charge */
} Device;

typedef struct Circuit {
  int size, node_count, input, output;
  char **names; /* of nodes */
  double vt, highest_v;
  int entry_count;
  int *row, *column;
  double *mass, *linear; /* by entry */
  double *constant;
  int device_count;
  Device *devices;
  int *is_driven;      /* by node: held by a source or the input */
  double *scale_floor; /* by unknown: what an error of 1 V is worth of; 0 where its error does not count */
} Circuit;

Circuit circuit_of(const Json *netlist);
/* Index of a node by name; ends the program if there is none. */
int circuit_node(const Circuit *circuit, const char *name);
/*
 * f at y (length size + 1, the last 0) with the input at u; f has length size + 1. If `jacobian` is not NULL it
 * receives df/dy, by entry.
 */
void circuit_evaluate(const Circuit *circuit, const double *y, double u, double *f, double *jacobian);
/* result = M x; length size + 1. */
void circuit_mass_times(const Circuit *circuit, const double *x, double *result);

/* Adds a device's currents to f, and their derivatives to the Jacobian if that is not NULL. */
void device_stamp(const Device *device, double vt, const double *y, double *f, double *jacobian);

#endif
