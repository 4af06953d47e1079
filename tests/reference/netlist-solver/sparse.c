/* See sparse.h. Source of the choice: H. M. Markowitz, Management Science 3 (1957), 255. */
#include "sparse.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* A pivot is at least this fraction of the largest in its column; rows are scaled to a largest entry of 1. */
static const double PIVOT_SHARE = 1e-3;

typedef struct List {
  int *items;
  int count, capacity;
} List;

static void push(List *list, int item) {
  if (list->count == list->capacity) {
    list->capacity = list->capacity * 2 + 256;
    list->items = realloc(list->items, sizeof(int) * (size_t)list->capacity);
  }
  list->items[list->count++] = item;
}

/* The matrix while pivots are chosen: full, with the structural entries (place plus one). */
typedef struct Table {
  int size;
  double *value;
  int *place;
  char *row_done, *column_done;
} Table;

static int live_count(const Table *t, int index, int is_row) {
  int count = 0;
  for (int k = 0; k < t->size; k++) {
    if (is_row ? t->column_done[k] : t->row_done[k]) continue;
    count += t->place[is_row ? index * t->size + k : k * t->size + index] != 0;
  }
  return count;
}

static double row_largest(const Table *t, int row) {
  double largest = 0;
  for (int k = 0; k < t->size; k++)
    if (!t->column_done[k]) largest = fmax(largest, fabs(t->value[row * t->size + k]));
  return largest;
}

/* The entry with the least fill-in that is not small; -1 if no entry remains. */
static int best_pivot(const Table *t) {
  int n = t->size, best = -1;
  double scale[n], best_size = 0;
  long best_cost = 0;
  int row_count[n];
  for (int row = 0; row < n; row++) {
    if (t->row_done[row]) continue;
    double largest = row_largest(t, row);
    scale[row] = largest > 0 ? 1 / largest : 0;
    row_count[row] = live_count(t, row, 1);
  }
  for (int column = 0; column < n; column++) {
    if (t->column_done[column]) continue;
    double largest = 0;
    for (int row = 0; row < n; row++)
      if (!t->row_done[row]) largest = fmax(largest, fabs(t->value[row * n + column]) * scale[row]);
    long column_count = live_count(t, column, 0);
    for (int row = 0; row < n && largest > 0; row++) {
      if (t->row_done[row]) continue;
      double size = fabs(t->value[row * n + column]) * scale[row];
      if (size < PIVOT_SHARE * largest || size == 0) continue;
      long cost = (row_count[row] - 1) * (column_count - 1);
      if (best >= 0 && (cost > best_cost || (cost == best_cost && size <= best_size))) continue;
      best = row * n + column, best_cost = cost, best_size = size;
    }
  }
  return best;
}

/* One step of the elimination, with its program. */
static void eliminate(Table *t, int row, int column, List *program, int *value_count) {
  int n = t->size, rows_at = program->count;
  push(program, 0);
  for (int below = 0; below < n; below++) {
    if (t->row_done[below] || !t->place[below * n + column]) continue;
    program->items[rows_at]++;
    push(program, t->place[below * n + column] - 1);
    push(program, below);
    int products_at = program->count;
    push(program, 0);
    double factor = t->value[below * n + column] / t->value[row * n + column];
    for (int k = 0; k < n; k++) {
      if (t->column_done[k] || !t->place[row * n + k]) continue;
      if (!t->place[below * n + k]) t->place[below * n + k] = ++*value_count;
      program->items[products_at]++;
      push(program, t->place[below * n + k] - 1);
      push(program, t->place[row * n + k] - 1);
      t->value[below * n + k] -= factor * t->value[row * n + k];
    }
  }
}

int sparse_choose(Sparse *s, int size, int entry_count, const int *row, const int *column, const double *value) {
  size_t n = (size_t)size;
  Table t = {size, calloc(n * n, sizeof(double)), calloc(n * n, sizeof(int)), calloc(n, 1), calloc(n, 1)};
  List program = {0}, upper = {0};
  *s = (Sparse){size, entry_count, 0, malloc(sizeof(int) * (size_t)entry_count), malloc(sizeof(int) * n),
                malloc(sizeof(int) * n), malloc(sizeof(int) * n), NULL, malloc(sizeof(int) * (n + 1)), NULL};
  for (int e = 1; e < entry_count; e++) {
    int at = row[e] * size + column[e];
    t.value[at] += value[e];
    if (!t.place[at]) t.place[at] = ++s->value_count;
    s->place[e] = t.place[at] - 1;
  }
  int is_whole = 1;
  for (int k = 0; k < size && is_whole; k++) {
    int pivot = best_pivot(&t);
    is_whole = pivot >= 0;
    if (!is_whole) break;
    int own_row = pivot / size, own_column = pivot % size;
    s->pivot_row[k] = own_row, s->pivot_column[k] = own_column, s->pivot_place[k] = t.place[pivot] - 1;
    t.row_done[own_row] = t.column_done[own_column] = 1;
    s->upper_start[k] = upper.count / 2;
    for (int other = 0; other < size; other++) {
      if (t.column_done[other] || !t.place[own_row * size + other]) continue;
      push(&upper, t.place[own_row * size + other] - 1);
      push(&upper, other);
    }
    eliminate(&t, own_row, own_column, &program, &s->value_count);
  }
  s->upper_start[size] = upper.count / 2;
  s->program = program.items, s->upper = upper.items;
  free(t.value), free(t.place), free(t.row_done), free(t.column_done);
  return is_whole;
}

void sparse_free(Sparse *s) {
  free(s->place), free(s->pivot_row), free(s->pivot_column), free(s->pivot_place);
  free(s->program), free(s->upper_start), free(s->upper);
  memset(s, 0, sizeof *s);
}

int sparse_factorise(const Sparse *s, const double *entries, double *values) {
  memset(values, 0, sizeof(double) * (size_t)s->value_count);
  for (int e = 1; e < s->entry_count; e++) values[s->place[e]] = entries[e];
  const int *p = s->program;
  for (int k = 0; k < s->size; k++) {
    double pivot = values[s->pivot_place[k]];
    if (pivot == 0) return 0;
    double inverse = values[s->pivot_place[k]] = 1 / pivot;
    for (int rows = *p++; rows > 0; rows--) {
      double factor = values[p[0]] *= inverse;
      int count = p[2];
      for (p += 3; count > 0; count--, p += 2) values[p[0]] -= factor * values[p[1]];
    }
  }
  return 1;
}

int sparse_factorise_complex(const Sparse *s, const Complex *entries, Complex *values) {
  memset(values, 0, sizeof(Complex) * (size_t)s->value_count);
  for (int e = 1; e < s->entry_count; e++) values[s->place[e]] = entries[e];
  const int *p = s->program;
  for (int k = 0; k < s->size; k++) {
    Complex *pivot = &values[s->pivot_place[k]];
    double square = pivot->re * pivot->re + pivot->im * pivot->im;
    if (square == 0) return 0;
    *pivot = (Complex){pivot->re / square, -pivot->im / square};
    for (int rows = *p++; rows > 0; rows--) {
      Complex *own = &values[p[0]];
      Complex factor = {own->re * pivot->re - own->im * pivot->im, own->re * pivot->im + own->im * pivot->re};
      *own = factor;
      int count = p[2];
      for (p += 3; count > 0; count--, p += 2) {
        const Complex right = values[p[1]];
        values[p[0]].re -= factor.re * right.re - factor.im * right.im;
        values[p[0]].im -= factor.re * right.im + factor.im * right.re;
      }
    }
  }
  return 1;
}

void sparse_solve(const Sparse *s, const double *values, double *x, double *work) {
  const int *p = s->program;
  for (int k = 0; k < s->size; k++) {
    double own = x[s->pivot_row[k]];
    for (int rows = *p++; rows > 0; rows--, p += 3 + 2 * p[2]) x[p[1]] -= values[p[0]] * own;
  }
  for (int k = s->size - 1; k >= 0; k--) {
    double sum = x[s->pivot_row[k]];
    for (int u = s->upper_start[k]; u < s->upper_start[k + 1]; u++)
      sum -= values[s->upper[2 * u]] * work[s->upper[2 * u + 1]];
    work[s->pivot_column[k]] = sum * values[s->pivot_place[k]];
  }
  memcpy(x, work, sizeof(double) * (size_t)s->size);
}

void sparse_solve_complex(const Sparse *s, const Complex *values, Complex *x, Complex *work) {
  const int *p = s->program;
  for (int k = 0; k < s->size; k++) {
    Complex own = x[s->pivot_row[k]];
    for (int rows = *p++; rows > 0; rows--, p += 3 + 2 * p[2]) {
      Complex factor = values[p[0]], *to = &x[p[1]];
      to->re -= factor.re * own.re - factor.im * own.im;
      to->im -= factor.re * own.im + factor.im * own.re;
    }
  }
  for (int k = s->size - 1; k >= 0; k--) {
    Complex sum = x[s->pivot_row[k]], inverse = values[s->pivot_place[k]];
    for (int u = s->upper_start[k]; u < s->upper_start[k + 1]; u++) {
      Complex right = values[s->upper[2 * u]], known = work[s->upper[2 * u + 1]];
      sum.re -= right.re * known.re - right.im * known.im;
      sum.im -= right.re * known.im + right.im * known.re;
    }
    work[s->pivot_column[k]] =
        (Complex){sum.re * inverse.re - sum.im * inverse.im, sum.re * inverse.im + sum.im * inverse.re};
  }
  memcpy(x, work, sizeof(Complex) * (size_t)s->size);
}
