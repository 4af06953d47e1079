/** Something that the user can put right: said in one line, exit code 2. */
export class CliError extends Error {}
