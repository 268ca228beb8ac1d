/** Why an address cannot be reached, in one plain sentence. */

/** `place` is `host:port` as typed. */
export function addressTrouble(error: Error, place: string): string {
  const code = 'code' in error ? error.code : undefined;
  switch (code) {
    case 'ECONNREFUSED':
      return `Nothing listens at ${place}.`;
    case 'ENOTFOUND':
    case 'EAI_AGAIN':
      return `The host of ${place} is not known here.`;
    case 'ETIMEDOUT':
      return `${place} does not answer.`;
    case 'EHOSTUNREACH':
    case 'ENETUNREACH':
      return `No network leads to ${place}.`;
    case 'ECONNRESET':
    case 'EPIPE':
      return `${place} broke off the connection.`;
    default:
      return `${place}: ${error.message}`;
  }
}
