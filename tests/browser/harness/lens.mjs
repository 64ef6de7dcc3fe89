// A camera made of a canvas, for what a film cannot do: other labels at will, two lenses, and being taken away.

/** Before the app is opened: every camera asked for shows what `hold` was given last. */
export async function lens(context, { lenses = ['wide'] } = {}) {
  await context.addInitScript((lenses) => {
    const canvas = Object.assign(document.createElement('canvas'), { width: 1280, height: 720 });
    const pen = canvas.getContext('2d');
    window.lens = { asked: [], stream: undefined, picture: undefined };
    let turn = 0;
    setInterval(() => {
      turn += 1;
      pen.fillStyle = '#8d8678';
      pen.fillRect(0, 0, 1280, 720);
      const { picture } = window.lens;
      if (picture) pen.drawImage(picture, 440, 160, 400, 400);
      // A canvas that does not change gives no frames.
      pen.fillStyle = turn % 2 ? '#777' : '#888';
      pen.fillRect(0, 0, 8, 8);
    }, 40);
    navigator.mediaDevices.getUserMedia = async (wish) => {
      window.lens.asked.push(wish.video.deviceId?.ideal ?? null);
      window.lens.stream = canvas.captureStream(25);
      return window.lens.stream;
    };
    navigator.mediaDevices.enumerateDevices = async () => lenses.map((id) => (
      Object.setPrototypeOf({ get deviceId() { return id; }, get kind() { return 'videoinput'; } }, MediaDeviceInfo.prototype)));
  }, lenses);
}

/** Holds a square code (SVG) before it, or nothing. */
export async function hold(page, svg) {
  await page.evaluate(async (svg) => {
    if (!svg) { window.lens.picture = undefined; return; }
    const picture = new Image();
    picture.src = `data:image/svg+xml;base64,${btoa(svg)}`;
    await picture.decode();
    window.lens.picture = picture;
  }, svg);
}
