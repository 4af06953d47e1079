import { type HeadphoneSensitivity, levelAtEarDb, weeklyDose } from '../../engine/analysis/exposure.ts';
import { readJson } from '../../engine/input/json.ts';
import { TONE_PEAK } from '../audio/calibration-tone.ts';
import { keptTexts } from '../storage/kept-texts.ts';

/** Data for the level at the ear: from a data sheet and from a multimeter. */
export interface EarCalibration {
  readonly sensitivity: HeadphoneSensitivity;
  /** RMS voltage at the headphones while the bench plays its tone. */
  readonly toneV: number;
}

/** Estimated level and dose; no numbers without both values. */
export interface EarExposure {
  readonly levelDba: number;
  /** Share of a week's allowance since the page was opened, 0 to 1 and above. */
  readonly dose: number;
}

/** The level on the screen is the mean of the last seconds. */
const AVERAGE_SECONDS = 3;
/** A longer pause between readings, such as a hidden page, is not counted. */
const LONGEST_STEP_SECONDS = 2;
const NAME = 'headphones';

/** Adds up the sound at the ear while the page is open. */
export class EarDose {
  #calibration = loadCalibration();
  /** A-weighted mean square of the output, full scale squared, averaged. */
  #square = 0;
  #dose = 0;
  #lastMs = 0;

  get calibration(): EarCalibration | undefined {
    return this.#calibration;
  }

  /** Undefined until both figures are given. */
  get exposure(): EarExposure | undefined {
    if (!this.#calibration) return undefined;
    return { levelDba: levelOf(this.#square, this.#calibration), dose: this.#dose };
  }

  /** The dose starts again with other headphones. */
  calibrate(calibration: EarCalibration | undefined): void {
    this.#calibration = calibration;
    this.#dose = 0;
    keptTexts.keep(NAME, calibration && JSON.stringify(calibration));
  }

  /** @param square A-weighted mean square of the output now, full scale squared. @param nowMs Any steady clock. */
  add(square: number, nowMs: number): void {
    const seconds = (nowMs - this.#lastMs) / 1000;
    this.#lastMs = nowMs;
    if (!(seconds > 0 && seconds < LONGEST_STEP_SECONDS) || !Number.isFinite(square)) return;
    this.#square += (square - this.#square) * (1 - Math.exp(-seconds / AVERAGE_SECONDS));
    if (this.#calibration) this.#dose += weeklyDose(levelOf(square, this.#calibration), seconds);
  }
}

function levelOf(square: number, { sensitivity, toneV }: EarCalibration): number {
  const voltsAtFullScale = toneV / (TONE_PEAK / Math.SQRT2);
  return levelAtEarDb(voltsAtFullScale * Math.sqrt(square), sensitivity);
}

function loadCalibration(): EarCalibration | undefined {
  const saved = readJson(keptTexts.read(NAME) ?? '') as Partial<EarCalibration> | null | undefined;
  const { sensitivity, toneV } = saved ?? {};
  const isWhole =
    typeof toneV === 'number' &&
    toneV > 0 &&
    Number.isFinite(sensitivity?.decibels) &&
    (sensitivity?.per === 'volt' || (sensitivity?.per === 'milliwatt' && sensitivity.impedanceOhms > 0));
  return isWhole ? (saved as EarCalibration) : undefined;
}
