/** An instant [Unix s] as RFC 3339 writes it, in UTC, to the nearest millisecond. */
export const instant = (timeS: number): string => new Date(Math.round(timeS * 1000)).toISOString();
