/** The result of vite-plugin-worklet: the address of the bundled classic script, for `addModule`. */
declare module '*?worklet' {
  const url: string;
  export default url;
}
