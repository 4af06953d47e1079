/**
 * The source files with signs to flip, each with the tests that must find a flipped sign: all of the solver and of the
 * devices, and what else is an equation of the circuit. A list is long if each of its tests checks another part of the
 * source.
 */
const UNITS = (names: readonly string[]) => names.map((name) => `tests/unit/${name}.test.ts`);
const REFERENCES = ['soft-clip', 'clean-blend'].map((name) => `tests/reference/${name}.test.ts`);

const DEVICES = UNITS(['device-equations', 'solver-closed-forms', 'two-way-diodes', 'opamp-input-range']);
const NETWORKS = UNITS(['rails', 'amplifier-stages', 'linear-networks']);
const P_TYPES = ['tests/reference/p-type-stages.test.ts'];
const EMITTED = UNITS(['emitted-code']);
const CHARGES = [...UNITS(['junction-charge']), 'tests/reference/charge-stages.test.ts'];

const TESTS: Readonly<Record<string, readonly string[]>> = {
  'engine/solver/nodal-system.ts': [
    ...UNITS([
      'junction-limit',
      'rails',
      'amplifier-stages',
      'noise',
      'solver-closed-forms',
      'two-way-diodes',
      'temperature',
    ]),
    ...UNITS(['linear-networks', 'opamp-types', 'opamp-input-range', 'headroom']),
    ...REFERENCES,
  ],
  'engine/solver/rest-search.ts': UNITS(['operating-point', 'variant-analysis', 'linear-networks']),
  'engine/solver/small-signal.ts': UNITS(['variant-analysis', 'noise', 'linear-networks']),
  'engine/solver/sparse-equations.ts': UNITS(['sparse-equations', 'variant-analysis']),
  'engine/solver/elimination-plan.ts': UNITS(['sparse-equations', 'variant-analysis']),
  'engine/solver/block-devices.ts': CHARGES,
  'engine/solver/block-memory.ts': CHARGES,
  'engine/solver/block-coefficients.ts': [...NETWORKS, ...DEVICES, ...REFERENCES],
  'engine/devices/formula.ts': [...UNITS(['formula']), ...DEVICES],
  'engine/devices/junction.ts': [...DEVICES, ...UNITS(['temperature', 'noise']), ...NETWORKS],
  'engine/devices/junction-charge.ts': CHARGES,
  'engine/devices/diode.ts': [...DEVICES, ...UNITS(['temperature', 'noise']), ...CHARGES],
  'engine/devices/bipolar.ts': [
    ...DEVICES,
    ...NETWORKS,
    ...UNITS(['temperature', 'noise', 'noise-data']),
    ...P_TYPES,
  ],
  'engine/devices/field-effect.ts': [...DEVICES, ...NETWORKS, ...UNITS(['temperature', 'noise']), ...P_TYPES],
  'engine/devices/opamp-equations.ts': [
    ...UNITS(['opamp-under-load']),
    ...[...DEVICES, ...NETWORKS, ...UNITS(['headroom'])],
  ],
  'engine/devices/opamp.ts': [...DEVICES, ...UNITS(['noise', 'noise-data'])],
  'engine/devices/converter.ts': [...NETWORKS, ...UNITS(['noise'])],
  'engine/devices/noise.ts': UNITS(['noise', 'noise-data']),
  'engine/solver/port-device.ts': [...DEVICES, ...UNITS(['operating-point']), ...CHARGES],
  'engine/solver/backward-difference.ts': [
    ...UNITS(['convergence-order', 'resonance']),
    ...NETWORKS,
    ...DEVICES,
  ],
  'engine/solver/dense-linear.ts': [...UNITS(['dense-linear']), ...NETWORKS, ...DEVICES, ...UNITS(['noise'])],
  'engine/solver/network-check.ts': UNITS(['network-check']),
  'engine/parts/diode-curve.ts': UNITS(['diode-data', 'two-way-diodes']),
  'engine/solver/block-state.ts': [
    ...NETWORKS,
    ...DEVICES,
    ...UNITS(['rest-state', 'solver-running']),
    ...EMITTED,
  ],
  'engine/solver/circuit-simulator.ts': [
    ...NETWORKS,
    ...DEVICES,
    ...UNITS(['probe', 'solver-running']),
    ...EMITTED,
  ],
  'engine/solver/gliding-values.ts': UNITS(['gliding-values', 'solver-running']),
  'engine/solver/row-ramp.ts': UNITS(['gliding-values', 'solver-running']),
  'engine/solver/rails.ts': [...UNITS(['rails']), 'tests/reference/solved-cases.test.ts'],
  'engine/solver/loud-signal.ts': UNITS(['loud-signal', 'opamp-under-load']),
  'engine/solver/diode-pairs.ts': UNITS(['loud-signal', 'opamp-under-load']),
  'engine/solver/frequency-sweep.ts': UNITS(['variant-analysis']),
  'engine/solver/complex-rows.ts': UNITS(['variant-analysis']),
  'engine/solver/output-loads.ts': UNITS(['opamp-under-load']),
  'engine/solver/driven-circuit.ts': UNITS(['opamp-under-load']),
  'engine/solver/knob-ends.ts': UNITS(['opamp-under-load']),
  'engine/solver/resonance.ts': [...UNITS(['resonance']), 'tests/reference/solved-cases.test.ts'],
  'engine/solver/substeps.ts': UNITS(['substeps', 'emitted-code']),
  'engine/solver/emit/emit-block.ts': [...NETWORKS, ...EMITTED],
  'engine/solver/emit/emit-formula.ts': [...UNITS(['formula']), ...DEVICES],
  'engine/solver/emit/emit-exponential.ts': EMITTED,
  'engine/solver/nodal-plan.ts': UNITS(['nodal-blocks']),
  'engine/solver/nodal-coefficients.ts': UNITS(['nodal-blocks']),
  'engine/solver/emit/emit-nodal.ts': UNITS(['nodal-blocks']),
  'engine/solver/emit/outline.ts': EMITTED,
  'engine/solver/emit/emit-opamp-jump.ts': UNITS(['opamp-jump', 'random-circuits']),
  'engine/solver/emit/emit-newton.ts': [...DEVICES, ...EMITTED, ...CHARGES],
  'engine/solver/emit/port-system.ts': [...DEVICES, ...EMITTED],
  'engine/solver/emit/emit-circuit.ts': [...NETWORKS, ...EMITTED, ...UNITS(['solver-running'])],
  'engine/solver/emit/emit-parallel.ts': [...DEVICES, ...EMITTED],
  'engine/solver/emit/emit-solve.ts': [...DEVICES, ...EMITTED],
  'engine/solver/tape.ts': EMITTED,
  'engine/solver/emit/emit-substeps.ts': [...UNITS(['substeps']), ...EMITTED],
  'engine/solver/emit/function-builder.ts': EMITTED,
  'engine/solver/emit/paired-code.ts': UNITS(['paired-simulators']),
  'engine/solver/emit/single-code.ts': EMITTED,
  'engine/solver/emit/structure.ts': UNITS(['paired-simulators', 'voice-pairing']),
  'engine/solver/emit/tape-code.ts': EMITTED,
  'engine/solver/circuit-memory.ts': NETWORKS,
  'engine/solver/paired-simulators.ts': UNITS(['paired-simulators']),
  'engine/solver/sparse-pattern.ts': UNITS(['sparse-equations', 'variant-analysis']),
  'engine/network/temperature.ts': UNITS(['temperature']),
  'engine/analysis/noise-sources.ts': UNITS(['noise', 'noise-data']),
  'engine/analysis/noise.ts': UNITS(['noise', 'noise-data']),
  'engine/analysis/variant-analysis.ts': UNITS(['variant-analysis', 'unity']),
  'engine/analysis/frequency-response.ts': UNITS(['linear-networks', 'part-figures', 'plot-views']),
  'engine/analysis/steady-sine.ts': UNITS(['steady-sine', 'level-map', 'headroom']),
  'engine/analysis/harmonics.ts': UNITS(['steady-sine', 'comparison', 'headroom']),
  'engine/analysis/sine-analysis.ts': UNITS(['plot-views', 'steady-sine']),
  'engine/analysis/solver-accuracy.ts': UNITS(['solver-accuracy']),
  'engine/analysis/accuracy-cause.ts': UNITS(['solver-accuracy']),
  'engine/circuits/part-figure.ts': UNITS(['part-figures']),
  'engine/builds/instrument.ts': UNITS(['instrument']),
  'engine/builds/network-of-build.ts': UNITS(['taper', 'netlist', 'clean-blend']),
  'engine/parts/junction-fit.ts': UNITS(['diode-data', 'transistor-data']),
  'engine/parts/opamp-primitives.ts': UNITS(['opamp-types', 'opamp-data']),
};

export const MUTATED_SOURCES: readonly string[] = Object.keys(TESTS);

export function testsFor(file: string): readonly string[] {
  return TESTS[file] ?? [];
}

/** Sources of the short set, which runs with every change: the first, fast tests find their flipped signs. */
export const SHORT_SOURCES = ['engine/solver/backward-difference.ts', 'engine/solver/block-coefficients.ts'];
const QUICK_TESTS = 4;

export function quickTestsFor(file: string): readonly string[] {
  return testsFor(file).slice(0, QUICK_TESTS);
}
