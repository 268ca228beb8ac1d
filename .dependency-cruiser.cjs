/** Who may import whom; a broken rule prints what to do instead. */
module.exports = {
  forbidden: [
    {
      name: 'shared-is-pure',
      comment: 'shared/ may import only shared/ and pure packages; hand IO, time and chance in.',
      severity: 'error',
      from: { path: '^shared/' },
      to: { pathNot: '^(shared/|node_modules/(valibot|@valibot|@noble)/)' },
    },
    {
      name: 'web-stands-apart',
      comment: 'web/ talks to the daemon over the wire; put what both need into shared/.',
      severity: 'error',
      from: { path: '^web/' },
      to: { path: '^(daemon|tests)/' },
    },
    {
      name: 'daemon-knows-no-page',
      comment: 'daemon/ must not import web/ or tests/.',
      severity: 'error',
      from: { path: '^daemon/' },
      to: { path: '^(web|tests)/' },
    },
    {
      name: 'sources-and-sinks-apart',
      comment: 'A source and a sink meet only in daemon/station.ts.',
      severity: 'error',
      from: { path: '^daemon/sources/' },
      to: { path: '^daemon/sinks/' },
    },
    {
      name: 'sinks-and-sources-apart',
      comment: 'A source and a sink meet only in daemon/station.ts.',
      severity: 'error',
      from: { path: '^daemon/sinks/' },
      to: { path: '^daemon/sources/' },
    },
    {
      name: 'one-plot',
      comment: 'Only web/lib/plot.ts imports uPlot; draw through it.',
      severity: 'error',
      from: { path: '^web/', pathNot: '^web/lib/plot' },
      to: { path: 'node_modules/uplot' },
    },
    {
      name: 'no-circles',
      comment: 'Two files that need each other are one idea, or a third is missing.',
      severity: 'error',
      from: {},
      to: { circular: true, viaOnly: { dependencyTypesNot: ['type-only'] } },
    },
  ],
  options: {
    doNotFollow: { path: 'node_modules' },
    tsPreCompilationDeps: true,
    tsConfig: { fileName: 'tsconfig.json' },
    enhancedResolveOptions: { extensions: ['.ts', '.svelte', '.js', '.mjs', '.json'] },
  },
};
