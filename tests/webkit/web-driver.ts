import { type ChildProcess, spawn } from 'node:child_process';
import { createServer } from 'node:net';
import { requireWebkit } from '../webkit.mjs';

const START_SECONDS = 30;

/** A window of WebKitGTK, controlled over WebDriver; only the functions that the test needs. */
export class WebDriver {
  readonly #process: ChildProcess;
  readonly #session: string;
  /** The browser's name and version. */
  readonly version: string;

  private constructor(process: ChildProcess, session: string, version: string) {
    this.#process = process;
    this.#session = session;
    this.version = version;
  }

  /** @param environment Additional environment variables for the browser. */
  static async start(environment: Readonly<Record<string, string>>): Promise<WebDriver> {
    const { driver, browser } = requireWebkit();
    const port = await freePort();
    const child = spawn(driver, [`--port=${port}`], {
      stdio: 'ignore',
      // For root, as in a container, there is no sandbox, which needs a user namespace.
      env: { ...process.env, WEBKIT_DISABLE_SANDBOX_THIS_IS_DANGEROUS: '1', ...environment },
    });
    const address = `http://127.0.0.1:${port}`;
    try {
      await answering(address);
      const options = { binary: browser, args: ['--automation'] };
      const { sessionId, capabilities } = await command<{
        sessionId: string;
        capabilities: { browserName: string; browserVersion: string };
      }>(`${address}/session`, {
        capabilities: { alwaysMatch: { 'webkitgtk:browserOptions': options } },
      });
      const version = `${capabilities.browserName} ${capabilities.browserVersion}`;
      return new WebDriver(child, `${address}/session/${sessionId}`, version);
    } catch (error) {
      child.kill();
      throw error;
    }
  }

  async resize(width: number, height: number): Promise<void> {
    await command(`${this.#session}/window/rect`, { width, height });
  }

  async open(url: string): Promise<void> {
    await command(`${this.#session}/url`, { url });
  }

  /** Runs the text of a function body in the page and returns its result. */
  run<Result>(script: string, ...args: unknown[]): Promise<Result> {
    return command(`${this.#session}/execute/sync`, { script, args });
  }

  /** A mouse click like a person's. @param place Pixels from the corner of the visible page. */
  async click({ x, y }: { readonly x: number; readonly y: number }): Promise<void> {
    await this.#act({
      type: 'pointer',
      id: 'mouse',
      parameters: { pointerType: 'mouse' },
      actions: [
        { type: 'pointerMove', duration: 0, origin: 'viewport', x: Math.round(x), y: Math.round(y) },
        { type: 'pointerDown', button: 0 },
        { type: 'pointerUp', button: 0 },
      ],
    });
  }

  /** Presses and releases a key. @see W3C WebDriver, "Keyboard actions", for the code points of special keys */
  async press(value: string): Promise<void> {
    const actions = ['keyDown', 'keyUp'].map((type) => ({ type, value }));
    await this.#act({ type: 'key', id: 'keyboard', actions });
  }

  async close(): Promise<void> {
    await fetch(this.#session, { method: 'DELETE' });
    this.#process.kill();
  }

  async #act(source: object): Promise<void> {
    await command(`${this.#session}/actions`, { actions: [source] });
  }
}

/** @throws Error with the driver's message. */
async function command<Result>(address: string, body: object): Promise<Result> {
  const response = await fetch(address, { method: 'POST', body: JSON.stringify(body) });
  const { value } = (await response.json()) as { value: Result & { error?: string; message?: string } };
  if (!response.ok) throw new Error(`${value.error}: ${value.message}`);
  return value;
}

async function answering(address: string): Promise<void> {
  for (let attempt = 0; attempt < 10 * START_SECONDS; attempt++) {
    try {
      await fetch(`${address}/status`);
      return;
    } catch {
      await new Promise((resolve) => setTimeout(resolve, 100));
    }
  }
  throw new Error(`The driver of WebKitGTK did not answer in ${START_SECONDS} seconds.`);
}

async function freePort(): Promise<number> {
  const server = createServer();
  await new Promise<void>((resolve) => server.listen(0, '127.0.0.1', resolve));
  const address = server.address();
  await new Promise((resolve) => server.close(resolve));
  if (typeof address !== 'object' || !address) throw new Error('there is no free port');
  return address.port;
}
