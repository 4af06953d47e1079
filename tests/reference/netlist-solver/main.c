/*
 * netlist-solver NETLIST.json rest [NEAR.json]
 *   prints the volts of every net at rest as JSON; NEAR.json holds such volts, near which the state is looked for.
 * netlist-solver NETLIST.json run SIGNAL RATE OUT_RATE COUNT RELATIVE ABSOLUTE_V NETS [NEAR.json]
 *   SIGNAL holds 64-bit floats at RATE, the input from t = 0 on. Writes 64-bit floats to stdout: for each n below COUNT
 *   the volts of the nets (names separated by commas, "" for the output) at n/OUT_RATE. To stderr a line of JSON.
 * netlist-solver NETLIST.json means ...
 *   the same, but means from half a sample before n/OUT_RATE to half a sample after it.
 */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "circuit.h"
#include "radau.h"
#include "rest.h"

static const double LONGEST_STEP_S = 1e-4;

static double *near_of(const Circuit *circuit, const char *path) {
  Json *volts = json_of_file(path);
  double *near = malloc(sizeof(double) * (size_t)circuit->node_count);
  for (int node = 0; node < circuit->node_count; node++) {
    const Json *known = json_member(volts, circuit->names[node]);
    near[node] = known && known->type == JSON_NUMBER ? known->number : NAN;
  }
  return near;
}

static double *rest_or_fail(const Circuit *circuit, const char *near_path) {
  double *y = calloc((size_t)circuit->size + 1, sizeof(double));
  double *near = near_path ? near_of(circuit, near_path) : NULL;
  double left = rest_of(circuit, near, y);
  free(near);
  /* The remaining difference is rounding at a node of picosiemens. */
  if (!(left >= 0 && left < 1e-6)) fail("no rest state was found");
  return y;
}

static void print_text(const char *text) {
  putchar('"');
  for (; *text; text++) {
    if (*text == '"' || *text == '\\') putchar('\\');
    putchar(*text);
  }
  putchar('"');
}

static void print_rest(const Circuit *circuit, const double *y) {
  for (int node = 0; node < circuit->node_count; node++) {
    fputs(node ? ",\n" : "{\n", stdout);
    print_text(circuit->names[node]);
    printf(":%.17g", y[node]);
  }
  puts("\n}");
}

typedef struct Writer {
  int count, *nodes;
} Writer;

static void write_nets(void *context, const double *y) {
  const Writer *writer = context;
  for (int k = 0; k < writer->count; k++) fwrite(&y[writer->nodes[k]], sizeof(double), 1, stdout);
}

static Writer writer_of(const Circuit *circuit, char *nets) {
  Writer writer = {0, malloc(sizeof(int) * (strlen(nets) + 1))};
  if (!*nets) writer.nodes[writer.count++] = circuit->output;
  for (char *name = nets; *name;) {
    size_t length = strcspn(name, ",");
    int is_last = !name[length];
    name[length] = 0;
    writer.nodes[writer.count++] = circuit_node(circuit, name);
    name += length + !is_last;
  }
  return writer;
}

int main(int count, char **words) {
  if (count < 3) fail("netlist-solver NETLIST.json rest|run|means ...");
  Json *netlist = json_of_file(words[1]);
  Circuit circuit = circuit_of(netlist);
  if (strcmp(words[2], "rest") == 0) {
    print_rest(&circuit, rest_or_fail(&circuit, count > 3 ? words[3] : NULL));
    return 0;
  }
  if (count < 10) fail("run takes SIGNAL RATE OUT_RATE COUNT RELATIVE ABSOLUTE_V NETS");
  Signal signal = signal_of_file(words[3], atof(words[4]));
  Tolerance tolerance = {atof(words[7]), atof(words[8]), LONGEST_STEP_S};
  Writer writer = writer_of(&circuit, words[9]);
  double *y = rest_or_fail(&circuit, count > 10 ? words[10] : NULL);
  Counts counts = {0, 0, 0};
  Samples samples = {atof(words[5]), atol(words[6]), strcmp(words[2], "means") == 0, write_nets, &writer};
  long done = radau_run(&circuit, &signal, &tolerance, y, &samples, &counts);
  fprintf(stderr, "{\"steps\":%ld,\"refused\":%ld,\"pivots\":%ld,\"samples\":%ld}\n", counts.steps, counts.refused,
          counts.pivots, done);
  return done == samples.count ? 0 : 3;
}
