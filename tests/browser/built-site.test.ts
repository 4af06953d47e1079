import { assert } from 'chai';

/** The test server answers here like `npm start`: the files of dist/ with the site's headers. */
const SITE = '/site/';

interface Opened {
  readonly window: Window & typeof globalThis;
  /** The violations of the content security policy so far: directive and address. */
  readonly violations: () => Promise<readonly string[]>;
}

/** An address that no policy of the site allows a page to fetch. */
const ELSEWHERE = 'https://elsewhere.invalid/';

/** Opens a page of the built site in a frame and waits until it has loaded. */
async function opened(page: string): Promise<Opened> {
  const frame = document.createElement('iframe');
  const loaded = new Promise((resolve) => frame.addEventListener('load', resolve));
  frame.src = SITE + page;
  document.body.append(frame);
  // The page's own document, as early as possible: before its modules run.
  while (frame.contentDocument?.location.pathname !== SITE + page)
    await new Promise((resolve) => setTimeout(resolve));
  const seen: string[] = [];
  const window = frame.contentWindow as Window & typeof globalThis;
  window.document.addEventListener('securitypolicyviolation', ({ effectiveDirective, blockedURI }) => {
    seen.push(`${effectiveDirective} ${blockedURI}`);
  });
  await loaded;
  return { window, violations: () => violationsBefore(window, seen) };
}

/** Causes a violation and waits for it: earlier reports have arrived then. */
async function violationsBefore(window: Window, seen: readonly string[]): Promise<readonly string[]> {
  const isProvoked = (violation: string) => violation.startsWith(`connect-src ${ELSEWHERE}`);
  const before = seen.filter(isProvoked).length;
  await window.fetch(ELSEWHERE).catch(() => {});
  while (seen.filter(isProvoked).length === before) await new Promise((resolve) => setTimeout(resolve, 10));
  return seen.filter((violation) => !isProvoked(violation));
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

  it('opens the bench without a violation of its content security policy', async () => {
    const { window, violations } = await opened('index.html');
    await window.customElements.whenDefined('cliplead-bench');
    assert.deepEqual(await violations(), []);
    assert.include(window.document.title, 'Cliplead');
    assert.isTrue(window.crossOriginIsolated);
  });

  it('allows no script from a string on the main page', async () => {
    const { window, violations } = await opened('index.html');
    assert.isFalse(evaluates(window));
    assert.include((await violations()).join(), 'script-src');
  });

  it('compiles WebAssembly on the main page', async () => {
    const { window } = await opened('index.html');
    // The smallest module: magic number and version 1.
    const bytes = new Uint8Array([0x00, 0x61, 0x73, 0x6d, 0x01, 0x00, 0x00, 0x00]);
    assert.instanceOf(new window.WebAssembly.Module(bytes), window.WebAssembly.Module);
  });

  it('has a fallback page that may evaluate strings, which opens the bench in a browser that does not need it', async () => {
    const { headers } = await fetch(`${SITE}fallback.html`);
    assert.include(headers.get('Content-Security-Policy'), "'unsafe-eval'");
    const frame = document.createElement('iframe');
    frame.src = `${SITE}fallback.html`;
    document.body.append(frame);
    const isOpen = () => frame.contentDocument?.readyState === 'complete';
    while (frame.contentWindow?.location.pathname !== SITE || !isOpen())
      await new Promise((resolve) => setTimeout(resolve, 10));
    assert.isFalse(evaluates(frame.contentWindow as Window & typeof globalThis));
  });

  it('may use the guitar and the foot switch, but no camera', async () => {
    const { window } = await opened('index.html');
    const { featurePolicy } = window.document as Document & {
      featurePolicy?: { allowsFeature(feature: string): boolean };
    };
    assert.isTrue(featurePolicy?.allowsFeature('microphone') ?? true);
    assert.isTrue(featurePolicy?.allowsFeature('midi') ?? true);
    assert.isFalse(featurePolicy?.allowsFeature('camera') ?? false);
  });
});
