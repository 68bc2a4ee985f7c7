"""Packs rendered scenes for train.py: pack_data.py OUT TRAYS_DIR CLOSEUP_DIR...
Writes NAME.webp (picture), NAME.mask.webp (class ids, lossless; 255 = outside the spread field) and meta.json with, per
scene: gains that turn linear light into reflectance (a perfect white diffuser reads 1), pixels per millimetre, surface,
set and the group that cross-validation keeps together. Whole trays are cut to the bounding box of their field.

Gains: close-ups 1 / white_linear (what a white diffuser reads); mats from the five neutral patches (sum of known
reflectances over sum of readings, clipped patches left out; reference/methods 1.2); plain trays none (1), as in the app
when no grey reference is in sight. Needs python3 with numpy, Pillow and OpenCV."""

import sys, os, json, glob, shutil
import numpy as np, cv2
from PIL import Image

PATCHES = [((67 + 16 * k, 129), v) for k, v in enumerate((243, 200, 160, 118, 75))]  # top-left corner in mm, sRGB value
MAX_SCALE = 10.5  # px/mm kept; finer pictures are averaged down


def linear(a):
	v = np.asarray(a, np.float32) / 255
	return np.where(v <= 0.04045, v / 12.92, ((v + 0.055) / 1.055) ** 2.4)


def encode(r):
	r = np.clip(r, 0, 1)
	return (np.where(r <= 0.0031308, 12.92 * r, 1.055 * np.power(np.maximum(r, 0.0031308), 1 / 2.4) - 0.055) * 255 + 0.5).astype(np.uint8)


def mat_gains(img, j):
	src = np.float32([[20, 24], [190, 24], [190, 124], [20, 124]])
	H = cv2.getPerspectiveTransform(src, np.float32(j['field_corners_px']))
	num = np.zeros(3)
	den = np.zeros(3)
	for (x, y), v in PATCHES:
		g = np.stack(np.meshgrid(np.linspace(x + 3, x + 9, 40), np.linspace(y + 3, y + 9, 40)), -1).reshape(-1, 1, 2).astype(np.float32)
		q = cv2.perspectiveTransform(g, H).reshape(-1, 2).astype(int)
		c = img[np.clip(q[:, 1], 0, img.shape[0] - 1), np.clip(q[:, 0], 0, img.shape[1] - 1)]
		if np.median(c, 0).max() > 0.97 * 255 or np.median(c, 0).min() < 0.02 * 255:
			continue
		num += float(linear(np.array([v]))[0])
		den += linear(c).mean(0)
	return (num / den).tolist() if den.min() > 0 else [1.0, 1.0, 1.0]


def group(name):
	return 'dev-run' if name.startswith('dev-run-') else name


def pack(name, folder, out, quality=70):
	j = json.load(open(os.path.join(folder, name + '.json')))
	whole = 'white_linear' not in j
	f = [os.path.join(folder, name + e) for e in ('.webp', '.jpg') if os.path.exists(os.path.join(folder, name + e))][0]
	img = np.asarray(Image.open(f).convert('RGB'))
	mask = np.asarray(Image.open(os.path.join(folder, name + '.mask.png'))).copy()
	scale = j['px_per_mm']
	if whole:
		mat = j['surface'] == 'mat'
		gains = mat_gains(img, j) if mat else [1.0] * 3
		P = np.array(j['field_corners_px'])
		inside = np.zeros(mask.shape, np.uint8)
		cv2.fillPoly(inside, [np.round(P).astype(np.int32)], 1)
		mask[inside == 0] = 255
		m = 24
		x0, y0 = np.maximum(P.min(0) - m, 0).astype(int)
		x1, y1 = (P.max(0) + m).astype(int)
		img = img[y0:y1, x0:x1]
		mask = mask[y0:y1, x0:x1]
		quality = 82
	else:
		gains = [1 / w for w in j['white_linear']]
	if scale > MAX_SCALE * 1.05:
		k = MAX_SCALE / scale
		h, w = img.shape[:2]
		size = (round(w * k), round(h * k))
		img = encode(cv2.resize(linear(img), size, interpolation=cv2.INTER_AREA))
		mask = cv2.resize(mask, size, interpolation=cv2.INTER_NEAREST)
		scale *= size[0] / w
	if f.endswith('.webp') and scale == j['px_per_mm']:
		shutil.copy(f, os.path.join(out, name + '.webp'))
	else:
		Image.fromarray(img).save(os.path.join(out, name + '.webp'), quality=quality, method=4)
	Image.fromarray(mask).convert('RGB').save(os.path.join(out, name + '.mask.webp'), lossless=True, quality=100, method=4)
	return dict(
		name=name,
		set=j['set'] if not whole else 'tray',
		group=group(name),
		surface='mat' if j['surface'] == 'mat' else 'tray',
		kind=j['surface'],
		light=j['light'],
		product=j['product'],
		wet=j['wet'],
		palette=j.get('insulation_palette', []),
		pxPerMm=round(scale, 4),
		gains=[round(float(g), 5) for g in gains],
	)


if __name__ == '__main__':
	out, trays, closeups = sys.argv[1], sys.argv[2], sys.argv[3:]
	os.makedirs(out, exist_ok=True)
	old = {s['name']: s for s in json.load(open(os.path.join(out, 'meta.json')))} if os.path.exists(os.path.join(out, 'meta.json')) else {}
	M = []
	for d in [trays] + closeups:
		for f in sorted(glob.glob(os.path.join(d, '*.json'))):
			n = os.path.basename(f)[:-5]
			if not os.path.exists(os.path.join(d, n + '.mask.png')):
				continue
			try:
				M.append(old.get(n) or pack(n, d, out))
			except (ValueError, OSError) as e:
				print('left out', n, e)  # a picture still being written
	json.dump(M, open(os.path.join(out, 'meta.json'), 'w'), indent=0)
	print(len(M), 'scenes', sum(os.path.getsize(f) for f in glob.glob(os.path.join(out, '*'))) // 1000, 'kB')
