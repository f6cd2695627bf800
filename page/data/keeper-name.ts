const KEY = 'keeper-name';

/** The name that this device's keeper acts under; '' where none was given, or none can be kept. */
export function keptName(): string {
  try {
    return localStorage.getItem(KEY) ?? '';
  } catch {
    return '';
  }
}

export function keepName(name: string): void {
  try {
    localStorage.setItem(KEY, name);
  } catch {
    // A browser that keeps nothing asks for it again.
  }
}
