/** What is refused, by a code that stays: what is shown is the message, what is tested is the code. */
export type RefusalCode =
  /** A text that is no value of a part: "4k7k". */
  | 'value'
  /** A type that the catalogue does not have. */
  | 'unknown-type'
  /** A type of another kind than what stands there. */
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
  /** More or other than an excerpt can hold. */
  | 'excerpt'
  /** An option or command of the command line. */
  | 'option'
  /** A file that cannot be read or written. */
  | 'file'
  /** What is to play and cannot be had. */
  | 'source'
  /** An input of the audio interface. */
  | 'input'
  /** The output of the audio interface. */
  | 'output'
  /** What the browser keeps, or does not. */
  | 'storage'
  /** A worker that the browser does not run, or that has ended. */
  | 'worker';

/**
 * What a user asked for and does not get: the message is a sentence for the screen. Whoever catches tests for this class
 * and its code. Every other error is a fault of the program: it is never shown as a refusal, and goes on.
 */
export class Refusal extends Error {
  readonly code: RefusalCode;
  constructor(code: RefusalCode, message: string) {
    super(message);
    this.name = 'Refusal';
    this.code = code;
  }
}
