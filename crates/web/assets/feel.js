// That a tap was taken is felt and heard where the device can: a knock, and a short click.

/** How long the knock is, ms. */
const KNOCK_MS = 35;

/** Pitch, length and loudness of the click. */
const CLICK_HZ = 880;
const CLICK_S = 0.045;
const CLICK_GAIN = 0.12;

/** @type {AudioContext | null} */
let speaker = null;

/** A tap was taken. */
export function feel() {
  try {
    navigator.vibrate?.(KNOCK_MS);
    speaker ??= new AudioContext();
    if (speaker.state === "suspended") {
      speaker.resume().catch(() => undefined);
    }
    const [tone, gain] = [speaker.createOscillator(), speaker.createGain()];
    tone.frequency.value = CLICK_HZ;
    gain.gain.setValueAtTime(CLICK_GAIN, speaker.currentTime);
    gain.gain.exponentialRampToValueAtTime(0.001, speaker.currentTime + CLICK_S);
    tone.connect(gain).connect(speaker.destination);
    tone.start();
    tone.stop(speaker.currentTime + CLICK_S);
  } catch {
    // A device without either shows the mark all the same.
  }
}
