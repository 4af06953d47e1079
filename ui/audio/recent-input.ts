/** Those who wait for the last seconds of the dry input, which the audio thread sends when it is asked. */
export class RecentInput {
  #asked: ((samples: Float32Array<ArrayBuffer>) => void)[] = [];

  /** Resolves with the next answer. */
  ask(): Promise<Float32Array<ArrayBuffer>> {
    return new Promise((resolve) => {
      this.#asked.push(resolve);
    });
  }

  /** @param samples V; empty where no sound runs any more. */
  give(samples: Float32Array<ArrayBuffer>): void {
    const asked = this.#asked;
    this.#asked = [];
    for (const resolve of asked) resolve(samples);
  }
}
