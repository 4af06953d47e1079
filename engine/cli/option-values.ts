/** Options of all commands, as texts or lists of texts from the command line. */
export interface Options {
  readonly build?: string;
  readonly set?: readonly string[];
  readonly knob?: readonly string[];
  readonly switch?: readonly string[];
  readonly temperature?: string;
  readonly json?: boolean;
  readonly in?: string;
  readonly out?: string;
  readonly channel?: string;
  readonly oversample?: string;
  readonly resampling?: string;
  readonly 'volts-per-full-scale'?: string;
  readonly net?: string;
  readonly frequencies?: string;
  readonly against?: string;
  readonly part?: string;
  readonly candidates?: string;
  readonly alone?: boolean;
  readonly spread?: boolean;
  readonly source?: string;
  readonly noise?: boolean;
  readonly hz?: string;
  readonly peak?: string;
  readonly pickup?: string;
  readonly cable?: string;
  readonly bypassed?: boolean;
  readonly into?: string;
  readonly 'into-cable'?: string;
  readonly turn?: string;
  readonly rounds?: string;
  readonly text?: string;
  readonly 'stand-in'?: boolean;
  readonly check?: string;
  readonly print?: string;
}
