import { ask, ofWell, tell } from './api.ts';

/** Ways in for a device besides HTTP; whether this machine alone has them. */
export interface Ways {
  mqttPort: number | null;
  plainMqttPort: number | null;
  isLocal: boolean;
}

export interface DeviceLetIn {
  name: string;
  since: string;
}

/** What a device says to be let in; told this once. */
export interface MadeKey {
  user: string;
  key: string;
}

export const askWays = async (): Promise<Ways> => (await ask<Ways>('/ways-in')).body;

/** Devices that have a key; null where none needs one. */
export const askDevices = async (wellId: string): Promise<DeviceLetIn[] | null> =>
  (await ask<{ devices: DeviceLetIn[] | null }>(ofWell(wellId, 'devices'))).body.devices;

export const makeKey = (wellId: string, device: string): Promise<MadeKey> =>
  tell(ofWell(wellId, 'devices'), { device });

export const shutOut = (wellId: string, device: string): Promise<object> =>
  tell(ofWell(wellId, `devices/${device}/shut-out`), {});
