#ifndef SPARSE_H
#define SPARSE_H

/*
 * Sparse factorisation with pivots that are chosen once, for typical numbers, and kept: fewest fill-ins
 * (Markowitz) among the entries that are not small. The result is a list of multiplications for any matrix of that
 * pattern. A pivot that has become small makes the solution inexact; the caller iterates and requests
 * new pivots if that does not converge.
 */
typedef struct Sparse {
  int size, entry_count, value_count;
  int *place;       /* by entry of the matrix: its place among the values */
  int *pivot_row, *pivot_column, *pivot_place;
  int *program;     /* by pivot: count of rows below, then of each its place, row, count of products, and their places */
  int *upper_start; /* by pivot: where its list of (place, column) to the right begins, one more than there are */
  int *upper;
} Sparse;

typedef struct Complex {
  double re, im;
} Complex;

/* Chooses pivots for a matrix of entries (row, column, value); entry 0 is left out. Returns 0 if it is singular. */
int sparse_choose(Sparse *sparse, int size, int entry_count, const int *row, const int *column, const double *value);
void sparse_free(Sparse *sparse);
/* Factorises the matrix of these entries in `values` (length value_count). Returns 0 at a pivot of 0. */
int sparse_factorise(const Sparse *sparse, const double *entries, double *values);
int sparse_factorise_complex(const Sparse *sparse, const Complex *entries, Complex *values);
/* Solves in place. @param x Right side by row, then solution by column. @param work Length size. */
void sparse_solve(const Sparse *sparse, const double *values, double *x, double *work);
void sparse_solve_complex(const Sparse *sparse, const Complex *values, Complex *x, Complex *work);

#endif
