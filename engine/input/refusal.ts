/** Stable codes of refusals: the message is shown, the code is tested. */
export type RefusalCode =
  /** A text that is not a value: "4k7k". */
  | 'value'
  /** A type that the catalogue does not have. */
  | 'unknown-type'
  /** A piece that a builder has measured, and that cannot be. */
  | 'piece'
  /** A type of the wrong kind for its place. */
  | 'wrong-kind'
  /** A build file, or a change to a build. */
  | 'build'
  /** Wires of a circuit that cannot be drawn. */
  | 'drawing'
  /** A network that has no solution. */
  | 'network'
  /** A network whose voltages do not settle. */
  | 'rest-state'
  /** An op-amp without the supply that it needs. */
  | 'starved'
  /** A file that is no recording, or damaged. */
  | 'recording'
  /** An impulse response or phrase that is silent. */
  | 'silence'
  /** A request that an excerpt cannot meet. */
  | 'excerpt'
  /** An option or command of the command line. */
  | 'option'
  /** A file that cannot be read or written. */
  | 'file'
  /** A source that is not available. */
  | 'source'
  /** An input of the audio interface. */
  | 'input'
  /** The output of the audio interface. */
  | 'output'
  /** Data that the browser stores, or cannot store. */
  | 'storage'
  /** A worker that the browser does not run, or that has ended. */
  | 'worker';

/**
 * A request of a user that is refused; the message is a sentence for the screen. A handler tests for
 * this class and its code. Every other error is a fault of the program: it is never shown as a refusal, and is
 * thrown on.
 */
export class Refusal extends Error {
  readonly code: RefusalCode;
  constructor(code: RefusalCode, message: string) {
    super(message);
    this.name = 'Refusal';
    this.code = code;
  }
}
