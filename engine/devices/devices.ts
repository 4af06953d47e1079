import { type Bjt, NPN, PNP } from './bipolar.ts';
import { CONVERTER, type Converter } from './converter.ts';
import type { DeviceModel } from './device-model.ts';
import { DIODE, type DiodeString } from './diode.ts';
import { type Fet, N_JFET, N_MOSFET, P_JFET } from './field-effect.ts';
import { OPAMP } from './opamp.ts';
import type { Opamp } from './opamp-data.ts';

/** Every device that a network can have. */
export type Device = DiodeString | Bjt | Fet | Opamp | Converter;
export type DeviceKind = Device['kind'];

const DEVICES = {
  diode: DIODE,
  npn: NPN,
  pnp: PNP,
  nJfet: N_JFET,
  pJfet: P_JFET,
  nMosfet: N_MOSFET,
  opamp: OPAMP,
  converter: CONVERTER,
} satisfies Record<DeviceKind, unknown>;

/** The model of a kind of device. */
export function deviceModel(kind: DeviceKind): DeviceModel {
  return DEVICES[kind] as unknown as DeviceModel;
}

/** A device with its data, given at 27 °C, at another temperature. */
export function deviceAt<D extends Device>(device: D, temperatureK: number): D {
  return deviceModel(device.kind).atTemperature(device, temperatureK) as D;
}

export function isDevice(primitive: { readonly kind: string }): primitive is Device {
  return primitive.kind in DEVICES;
}
