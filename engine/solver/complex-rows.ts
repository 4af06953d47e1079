/**
 * Rows of complex numbers that are computed with side by side: row by row, the same operation on every number. Nothing except
 * the constructor allocates.
 */
export class ComplexRows {
  readonly re: Float64Array;
  readonly im: Float64Array;
  /** Numbers in a row; row r begins at r times that. */
  readonly width: number;

  constructor(rows: number, width: number) {
    this.re = new Float64Array(rows * width);
    this.im = new Float64Array(rows * width);
    this.width = width;
  }

  /** Sets all numbers of some rows. @param end The row behind the last. @param re A whole number: V8 would box another. */
  fill(first: number, end: number, re: number): void {
    this.re.fill(re, first * this.width, end * this.width);
    this.im.fill(0, first * this.width, end * this.width);
  }

  /** row := 1/row */
  invert(row: number): void {
    const { re, im, width } = this;
    for (let index = row * width; index < (row + 1) * width; index++) {
      const a = re[index]!;
      const b = im[index]!;
      const square = a * a + b * b;
      re[index] = a / square;
      im[index] = -b / square;
    }
  }

  /** target := one·other; the target can be one of them. */
  multiply(target: number, one: number, other: number): void {
    const { re, im, width } = this;
    const to = target * width;
    const from = one * width;
    const by = other * width;
    for (let index = 0; index < width; index++) {
      const a = re[from + index]!;
      const b = im[from + index]!;
      const c = re[by + index]!;
      const d = im[by + index]!;
      re[to + index] = a * c - b * d;
      im[to + index] = a * d + b * c;
    }
  }

  /** target := target − one·other */
  subtractProduct(target: number, one: number, other: number): void {
    const { re, im, width } = this;
    const to = target * width;
    const from = one * width;
    const by = other * width;
    for (let index = 0; index < width; index++) {
      const a = re[from + index]!;
      const b = im[from + index]!;
      const c = re[by + index]!;
      const d = im[by + index]!;
      re[to + index]! -= a * c - b * d;
      im[to + index]! -= a * d + b * c;
    }
  }
}
