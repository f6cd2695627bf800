/** A photo larger than this is made smaller before it goes over a poor link. */
const LARGE_BYTES = 1_500_000;
const MOST_SIDE_PX = 2000;
const QUALITY = 0.85;

/** A photo as base64: as it is where it is small, else as a JPEG of some 2000 pixels. */
export async function smallPhoto(file: Blob): Promise<string> {
  const small = file.size <= LARGE_BYTES ? file : await smaller(file).catch(() => file);
  const bytes = new Uint8Array(await small.arrayBuffer());
  let text = '';
  for (let at = 0; at < bytes.length; at += 8192)
    text += String.fromCharCode(...bytes.subarray(at, at + 8192));
  return btoa(text);
}

/** What no browser can show goes as it is: the service says what is wrong with it. */
async function smaller(file: Blob): Promise<Blob> {
  const picture = await createImageBitmap(file, { imageOrientation: 'from-image' });
  const share = Math.min(1, MOST_SIDE_PX / Math.max(picture.width, picture.height));
  const canvas = new OffscreenCanvas(
    Math.max(1, Math.round(picture.width * share)),
    Math.max(1, Math.round(picture.height * share)),
  );
  canvas.getContext('2d')?.drawImage(picture, 0, 0, canvas.width, canvas.height);
  return canvas.convertToBlob({ type: 'image/jpeg', quality: QUALITY });
}
