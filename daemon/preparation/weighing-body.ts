/** A finished weighing as the catalogue keeps it: refused sweeps too. */
import type { Body } from '../../shared/catalogue/kinds.ts';
import type { WeighingRecord } from '../../shared/preparation/documents.ts';
import type { WeighingFit } from '../../shared/preparation/weighing-fit.ts';
import type { WeighingView } from '../../shared/preparation/weighing-run.ts';

type Whose = Pick<WeighingRecord, 'subject' | 'pattern' | 'side' | 'station' | 'at' | 'use'> & {
  readonly bodyMass_kg: number | null;
  readonly position: WeighingRecord['position'];
};

export function weighingBody(
  { method, verdict, sweeps, holds }: WeighingView,
  fit: WeighingFit,
  { bodyMass_kg, position, ...whose }: Whose,
): Body<'weighing'> {
  const [least, most] = fit.range_deg;
  return {
    ...whose,
    method,
    gravity: whose.use === 'machine' ? { kind: 'none' } : kept(fit.gravity),
    range_deg: [least, most],
    rmsResidual_Nm: fit.rmsResidual_Nm,
    apart_Nm: fit.apart_Nm,
    reference_deg: fit.reference_deg,
    atReference_Nm: fit.atReference_Nm,
    verdict,
    ...(bodyMass_kg === null ? {} : { bodyMass_kg }),
    ...(position === undefined ? {} : { position }),
    sweeps: sweeps.map((sweep) => ({
      ...sweep,
      angle_deg: [...sweep.angle_deg],
      torque_Nm: [...sweep.torque_Nm],
    })),
    holds: holds.map((hold) => ({ ...hold })),
  };
}

function kept(gravity: WeighingFit['gravity']): WeighingRecord['gravity'] {
  if (gravity.kind === 'sinusoid') return gravity;
  const { kind, angle_deg, torque_Nm } = gravity;
  return { kind, angle_deg: [...angle_deg], torque_Nm: [...torque_Nm] };
}
