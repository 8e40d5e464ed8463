// Pictures that are taken at the bench, made smaller before they are sent.

/** Longest side of a picture before it is sent, pixels. */
const PICTURE_SIDE = 1_600;

/** Shrinks a picture in the page, so that it goes over a weak network. */
/**
 * @param {File} file
 * @returns {Promise<Blob>}
 */
export async function shrink(file) {
  const bitmap = await createImageBitmap(file, { imageOrientation: "from-image" });
  const scale = Math.min(1, PICTURE_SIDE / Math.max(bitmap.width, bitmap.height));
  const canvas = document.createElement("canvas");
  canvas.width = Math.round(bitmap.width * scale);
  canvas.height = Math.round(bitmap.height * scale);
  canvas.getContext("2d")?.drawImage(bitmap, 0, 0, canvas.width, canvas.height);
  return new Promise((resolve, reject) =>
    canvas.toBlob((blob) => (blob ? resolve(blob) : reject(new Error("no picture"))), "image/jpeg", 0.85));
}
