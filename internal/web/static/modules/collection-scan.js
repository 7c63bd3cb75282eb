// Reads the code on a label with the camera, where the browser can. Elsewhere
// the phone's own camera opens the address in the code.

// offerScanning shows the button where scanning works.
export function offerScanning(button, dialog) {
  if (!("BarcodeDetector" in window) || !navigator.mediaDevices?.getUserMedia || !dialog.showModal) return;
  button.hidden = false;
  button.addEventListener("click", () => scan(dialog));
}

async function scan(dialog) {
  const video = dialog.querySelector("video");
  const said = dialog.querySelector("p");
  const close = dialog.querySelector("button");
  let stream;
  const end = () => {
    stream?.getTracks().forEach((track) => track.stop());
    video.srcObject = null;
  };
  dialog.addEventListener("close", end, { once: true });
  close.onclick = () => dialog.close();
  dialog.showModal();
  try {
    stream = await navigator.mediaDevices.getUserMedia({ video: { facingMode: "environment" } });
    video.srcObject = stream;
    await video.play();
    const detector = new BarcodeDetector();
    while (dialog.open) {
      const [code] = await detector.detect(video);
      const label = code && labelOf(code.rawValue);
      if (label) {
        dialog.close();
        location.assign("/p/" + encodeURIComponent(label));
        return;
      }
      await new Promise((resolve) => setTimeout(resolve, 150));
    }
  } catch {
    said.textContent = "The camera cannot be used here. Type the label instead.";
  }
}

// labelOf returns the label in a code: it holds the plant's address, or the
// label alone.
export function labelOf(text) {
  const path = /\/p\/([^/?#]+)/.exec(text);
  if (path) return decodeURIComponent(path[1]);
  return text.length <= 120 && !text.includes("/") ? text.trim() : "";
}
