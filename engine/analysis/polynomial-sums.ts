/** Orthonormal polynomials of a normal deviate: what a part does in proportion, its curvature, and two further ones. */
export const ORDERS = 4;

/** Builds that are added together: each sum is read and written once for all of them. */
const BATCH = 4;

/** Sums of products over builds: how far each column is from nominal, times each polynomial of each deviate. */
export class PolynomialSums {
  /** Of (column − nominal)·polynomial: by order, cause, column. Complete after `finish`. */
  readonly products: Float64Array<ArrayBuffer>;
  /** Of the polynomials: by order and cause. */
  readonly polynomials: Float64Array<ArrayBuffer>;
  readonly #nominal: Float64Array;
  readonly #causes: number;
  /** Of the builds that are not added yet, one behind the other. */
  readonly #powers: Float64Array;
  readonly #moved: Float64Array;
  #waiting = 0;

  constructor(causes: number, nominal: Float64Array) {
    this.products = new Float64Array(ORDERS * causes * nominal.length);
    this.polynomials = new Float64Array(ORDERS * causes);
    this.#nominal = nominal;
    this.#causes = causes;
    this.#powers = new Float64Array(BATCH * this.polynomials.length);
    this.#moved = new Float64Array(BATCH * nominal.length);
  }

  /** Adds a build. @param deviates Of each cause, with a variance of 1. @param row Its columns. */
  add(deviates: Float64Array, row: Float64Array): void {
    const nominal = this.#nominal;
    const from = this.#waiting * nominal.length;
    for (let column = 0; column < nominal.length; column++)
      this.#moved[from + column] = row[column]! - nominal[column]!;
    const first = this.#waiting * this.polynomials.length;
    for (let cause = 0; cause < this.#causes; cause++) this.#raise(deviates[cause]!, first + cause);
    this.#waiting++;
    if (this.#waiting === BATCH) this.finish();
  }

  /** Adds the builds that wait. */
  finish(): void {
    this.#powers.fill(0, this.#waiting * this.polynomials.length);
    this.#moved.fill(0, this.#waiting * this.#nominal.length);
    this.#waiting = 0;
    for (let place = 0; place < this.polynomials.length; place++) this.#addPlace(place);
  }

  /** Hermite polynomials of the orders from 1, each divided by the root of its order's factorial: orthonormal for normal z. */
  #raise(z: number, first: number): void {
    let before = 1;
    let now = z;
    for (let order = 1; order <= ORDERS; order++) {
      this.#powers[first + (order - 1) * this.#causes] = now;
      const next = (z * now - Math.sqrt(order) * before) / Math.sqrt(order + 1);
      before = now;
      now = next;
    }
  }

  #addPlace(place: number): void {
    const { products } = this;
    const powers = this.#powers;
    const moved = this.#moved;
    const stride = this.polynomials.length;
    const width = this.#nominal.length;
    const [a, b] = [powers[place]!, powers[place + stride]!];
    const [c, d] = [powers[place + 2 * stride]!, powers[place + 3 * stride]!];
    this.polynomials[place]! += a + b + c + d;
    const to = place * width;
    const [second, third, fourth] = [width, 2 * width, 3 * width];
    for (let column = 0; column < width; column++)
      products[to + column]! +=
        a * moved[column]! +
        b * moved[second + column]! +
        c * moved[third + column]! +
        d * moved[fourth + column]!;
  }
}
