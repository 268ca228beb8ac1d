/** What a channel can be, and the name and unit of the column it becomes. */
import { unitNamed, unitsOf } from '../units/units.ts';

/** The three the product computes with; each can be wired once. */
const MECHANICAL = {
  torque: 'torque_Nm',
  angle: 'angle_deg',
  velocity: 'velocity_degps',
} as const;

export type MechanicalQuantity = keyof typeof MECHANICAL;

export const QUANTITIES = [
  'torque',
  'angle',
  'velocity',
  'trigger',
  'emg',
  'force',
  'other',
] as const;
export type Quantity = (typeof QUANTITIES)[number];

export function isMechanical(quantity: Quantity): quantity is MechanicalQuantity {
  return quantity in MECHANICAL;
}

/** Names that computed columns carry; a wired channel cannot take them. */
export const RESERVED_NAMES: readonly string[] = [
  ...Object.values(MECHANICAL),
  'muscleTorque_Nm',
  'torqueLive_Nm',
];

/** `torque_Nm`, or the given name, or the quantity with its unit: `emg_mV`. */
export function columnName(quantity: Quantity, unit: string, name: string | undefined): string {
  return isMechanical(quantity) ? MECHANICAL[quantity] : (name ?? `${quantity}_${unit}`);
}

/** The unit a column is kept in: Nm, deg and degps for the three, else as wired. */
export function columnUnit(quantity: Quantity, unit: string): string {
  return isMechanical(quantity) ? (unitsOf(quantity)[0] ?? unit) : unit;
}

/**
 * The quantity that a device states by its channel's name, so that no wiring file is needed: `torque_Nm`,
 * `angle_deg`, `velocity_degps`, `velocity_deg_per_s`, or `torque` with the unit Nm. Other units are not
 * taken, nor a name that its unit contradicts.
 */
export function quantityNamed(channel: string, unit: string): MechanicalQuantity | null {
  const [quantity = '', ...unitInName] = channel.split('_');
  if (quantity !== 'torque' && quantity !== 'angle' && quantity !== 'velocity') return null;
  const units = [unitInName.join('_'), unit].filter((text) => text !== '').map(unitNamed);
  const isOwn = units.every((stated) => stated?.dimension === quantity && stated.factor === 1);
  return units.length > 0 && isOwn ? quantity : null;
}
