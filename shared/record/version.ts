/**
 * The version of everything on disk, and what happens to other versions: newer ones are refused in
 * plain words. Optional members need no new version; a name is never given a second meaning.
 */

export const RECORDING_VERSION = 1;

/** Why a document of this version cannot be read here; null when it can. */
export function versionTrouble(version: number): string | null {
  if (version === RECORDING_VERSION) return null;
  return version > RECORDING_VERSION
    ? `it was written by a newer Momentarm (version ${version} of the recording format; this one reads up to ${RECORDING_VERSION})`
    : `version ${version} of the recording format does not exist`;
}
