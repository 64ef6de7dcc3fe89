"""An outside reader for the label checks: OpenCV.

read FILE…    prints what its QR detector reads on each picture, one line a code
parts FILE X,Y,W,H…  the same on parts of one picture, in dots
unpack ZIP DIR  unpacks an archive with Python's own reader, which checks its sums; prints the names
frame IN OUT  lays a label's picture into a 1280 × 720 camera frame: tilted, unevenly lit, a little
              blurred and noisy, always the same way
"""

import sys
import zipfile

import cv2
import numpy as np


def grey(path):
    image = cv2.imread(path, cv2.IMREAD_GRAYSCALE)
    if image is None:
        sys.exit(f"cannot open {path} as a picture")
    return image


def texts_on(image):
    detector = cv2.QRCodeDetector()
    # A printed label lies on something; the detector wants a rim.
    image = cv2.copyMakeBorder(image, 40, 40, 40, 40, cv2.BORDER_CONSTANT, value=255)
    found, texts, _, _ = detector.detectAndDecodeMulti(image)
    texts = [t for t in texts if t] if found else []
    return texts or [t for t in [detector.detectAndDecode(image)[0]] if t]


def read(paths):
    for path in paths:
        for text in texts_on(grey(path)):
            print(text)


def parts(path, rectangles):
    image = grey(path)
    for rectangle in rectangles:
        x, y, w, h = map(int, rectangle.split(","))
        for text in texts_on(image[y : y + h, x : x + w]):
            print(text)


def frame(source, target):
    label = grey(source)
    h, w = label.shape
    desk = np.full((720, 1280), 90, np.float32)
    scale = min(900 / w, 560 / h)
    left, top = (1280 - w * scale) / 2, (720 - h * scale) / 2
    right, bottom = left + w * scale, top + h * scale
    corners = np.float32([[left + 40, top + 10], [right - 15, top - 20], [right + 10, bottom + 15], [left - 20, bottom - 25]])
    turn = cv2.getPerspectiveTransform(np.float32([[0, 0], [w, 0], [w, h], [0, h]]), corners)
    paper = cv2.warpPerspective(label.astype(np.float32), turn, (1280, 720), flags=cv2.INTER_AREA)
    inside = cv2.warpPerspective(np.full((h, w), 1, np.float32), turn, (1280, 720))
    image = desk * (1 - inside) + (30 + paper * 0.72) * inside
    light = np.linspace(0.55, 1.0, 1280, dtype=np.float32)[None, :]
    noise = np.random.default_rng(20).normal(0, 4, image.shape)
    image = cv2.GaussianBlur(image * light, (0, 0), 1.2) + noise
    if not cv2.imwrite(target, np.clip(image, 0, 255).astype(np.uint8)):
        sys.exit(f"cannot write {target}")


if __name__ == "__main__":
    match sys.argv[1:]:
        case ["read", *paths]:
            read(paths)
        case ["parts", path, *rectangles]:
            parts(path, rectangles)
        case ["unpack", archive, target]:
            with zipfile.ZipFile(archive) as files:
                files.extractall(target)
                print("\n".join(files.namelist()))
        case ["frame", source, target]:
            frame(source, target)
        case _:
            sys.exit(__doc__)
