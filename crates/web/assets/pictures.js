// Pictures that are taken at the bench: made smaller, kept on the device until the server has them, then named by an entry.

import { hand, page, tell } from "./page.js";

/** Longest side of a picture before it is sent, pixels. */
const PICTURE_SIDE = 1_600;

/** How long the server may take over a picture before it is sent again, ms. */
const PICTURE_PATIENCE_MS = 30_000;

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

/**
 * Keeps a picture on this device until the server has it.
 * @param {import("./drawer.js").UnsentPicture} picture
 */
export async function keepPicture(picture) {
  try {
    await hand.drawer?.keepPicture(picture);
  } catch {
    tell("The picture was not kept: this device has no room left on its disk. What was tapped is kept.");
  }
}

let isSending = false;

/** Sends what pictures wait on this device, one after the other; what does not go now goes later. */
export async function sendPictures() {
  if (isSending || !hand.drawer || !hand.outbox) {
    return;
  }
  isSending = true;
  try {
    for (let first = await hand.drawer.firstPicture(); first; first = await hand.drawer.firstPicture()) {
      const { visit, blob, at } = first.picture;
      const answer = await fetch(`/v/${visit}/pictures`, { method: "POST", body: blob, signal: AbortSignal.timeout(PICTURE_PATIENCE_MS) });
      if (!answer.ok && (answer.status < 400 || answer.status >= 500 || answer.status === 401)) {
        return;
      }
      if (answer.ok) {
        const { picture, original } = await answer.json();
        await hand.outbox.write(visit, Number(page.seen ?? 0), [{ kind: "pictured", picture, original, at }]);
      } else {
        tell("The server cannot read a picture of this device. Take it again; what was tapped is kept.");
      }
      await hand.drawer.forgetPicture(first.key);
      await hand.outbox.send();
    }
  } catch {
    // No connection: they wait here.
  } finally {
    isSending = false;
  }
}
