import { assert } from 'chai';

/** The test server answers here as `npm start` does: the files of dist/ with the site's headers. */
const SITE = '/site/';

interface Opened {
  readonly window: Window & typeof globalThis;
  readonly violations: string[];
}

/** Opens a page of the built site in a frame and waits until it has loaded. */
async function opened(page: string): Promise<Opened> {
  const frame = document.createElement('iframe');
  frame.src = SITE + page;
  await new Promise((resolve) => {
    frame.addEventListener('load', resolve, { once: true });
    document.body.append(frame);
  });
  const window = frame.contentWindow as Window & typeof globalThis;
  return { window, violations: await policyViolations(window) };
}

/** What the content security policy has stopped so far, by directive and what was blocked. */
function policyViolations(window: Window & typeof globalThis): Promise<string[]> {
  return new Promise((resolve) => {
    const violations: string[] = [];
    const observer = new window.ReportingObserver(
      (reports) => {
        for (const { body } of reports) {
          if (body && 'effectiveDirective' in body) violations.push(JSON.stringify(body));
        }
      },
      { types: ['csp-violation'], buffered: true },
    );
    observer.observe();
    // Time for the modules to run and for reports, which arrive in a task of their own.
    setTimeout(() => resolve(violations), 500);
  });
}

/** Whether a page may make JavaScript from a string. */
function evaluates(window: Window & typeof globalThis): boolean {
  try {
    return Reflect.construct(window.Function, ['return true'])() === true;
  } catch {
    return false;
  }
}

describe('the built site', () => {
  afterEach(() => {
    for (const frame of document.querySelectorAll('iframe')) frame.remove();
  });

  it('opens the bench without breaking its content security policy', async () => {
    const { window, violations } = await opened('index.html');
    assert.deepEqual(violations, []);
    assert.include(window.document.title, 'Cliplead');
    assert.isDefined(window.customElements.get('cliplead-bench'), 'the bench is registered');
    assert.isTrue(window.crossOriginIsolated);
  });

  it('lets no script be made from a string on the main page', async () => {
    const { window } = await opened('index.html');
    assert.isFalse(evaluates(window));
    assert.isAbove((await policyViolations(window)).length, 0, 'the observer sees violations');
  });

  it('compiles WebAssembly on the main page', async () => {
    const { window } = await opened('index.html');
    // The smallest module: magic number and version 1.
    const bytes = new Uint8Array([0x00, 0x61, 0x73, 0x6d, 0x01, 0x00, 0x00, 0x00]);
    assert.instanceOf(new window.WebAssembly.Module(bytes), window.WebAssembly.Module);
  });

  it('has a fallback page that may evaluate strings, as the stand-in for AudioWorklet must', async () => {
    const { window, violations } = await opened('fallback.html');
    assert.deepEqual(violations, []);
    assert.isTrue(evaluates(window));
  });
});
