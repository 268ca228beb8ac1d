/**
 * The routes of the API, one file a subject, listed at the bottom; the contract is `Route`.
 * Whatever is listed is checked, described in the OpenAPI document and tried by the contract test.
 */
import * as v from 'valibot';
import { jsonRoute, type Route, TAKES_NOTHING } from '../route.ts';
import { ACCESS_ROUTES } from './access.ts';
import { CATALOGUE_ROUTES } from './catalogue.ts';
import { DELETION_ROUTES } from './deletion.ts';
import { EXPORT_ROUTES } from './export.ts';
import { LIBRARY_ROUTES } from './library.ts';
import { PREPARATION_ROUTES } from './preparation.ts';
import { RECORDING_ROUTES } from './recording.ts';
import { REPORT_ROUTES } from './report.ts';
import { RESEARCH_ROUTES } from './research.ts';
import { RUN_ROUTES } from './run.ts';
import { SET_ROUTES } from './sets.ts';
import { STATION_ROUTES } from './station.ts';
import { TRUST_ROUTES } from './trust.ts';

const openApi = jsonRoute({
  ...TAKES_NOTHING,
  method: 'GET',
  url: '/api/openapi.json',
  about: 'This description, as OpenAPI 3.1.',
  reply: v.looseObject({ openapi: v.literal('3.1.0') }),
  // Loaded when it is asked for: few ever do, and everybody starts.
  run: async (station) => {
    const { openApiDocument } = await import('../openapi.ts');
    return openApiDocument(ROUTES, station.version);
  },
});

export const ROUTES: readonly Route[] = [
  openApi,
  ...STATION_ROUTES,
  ...RECORDING_ROUTES,
  ...LIBRARY_ROUTES,
  ...SET_ROUTES,
  ...TRUST_ROUTES,
  ...EXPORT_ROUTES,
  ...DELETION_ROUTES,
  ...RESEARCH_ROUTES,
  ...REPORT_ROUTES,
  ...CATALOGUE_ROUTES,
  ...PREPARATION_ROUTES,
  ...RUN_ROUTES,
  ...ACCESS_ROUTES,
];
