"""Draws coins and medals of worn or bright metal, straight into a pack for train.py: make_coins.py PACK FIRST COUNT
Discs wider than the network sees, with rim, lettering and relief, that mirror surroundings of their own: what copper-coloured and white metal looks like in a
photograph that is of no spread. Each face is a height field whose slopes turn the mirrored ray; surroundings are noise with lamps and windows in it, blurred
by the roughness; films of oxide lie in the hollows. Mask 0: the plain ground, 1: copper and bronze, 3: white metal, 6: other things without metal. Needs numpy, Pillow and OpenCV.
"""

import sys, os, json
import numpy as np, cv2
from PIL import Image

sys.path.insert(0, os.path.dirname(os.path.abspath(__file__)))
from make_drawn import W, H, noise, shape, draw, colours

FONTS = (cv2.FONT_HERSHEY_DUPLEX, cv2.FONT_HERSHEY_COMPLEX, cv2.FONT_HERSHEY_TRIPLEX, cv2.FONT_HERSHEY_SCRIPT_COMPLEX)


def surroundings(r):
	"""what a mirror sees, by the x and y of the ray (-1 to 1): 256 x 256 x 3, linear"""
	n = 256
	e = (
		np.exp(r.uniform(0.3, 1.1) * noise(r, n, n, 2.6))[..., None]
		* np.exp(r.uniform(0, 0.25) * np.stack([noise(r, n, n, 2.8) for _ in range(3)], -1))
		* r.uniform(0.15, 0.7)
	)
	y, x = np.mgrid[0:n, 0:n] / (n / 2) - 1
	for _ in range(int(r.integers(1, 4))):
		cx, cy = r.uniform(-0.8, 0.8, 2)
		k = r.uniform(1.2, 8) * np.exp(r.normal(0, 0.08, 3))
		s = np.exp(r.uniform(np.log(0.04), np.log(0.5)))
		e = e + (
			k * (np.hypot(x - cx, y - cy) < s)[..., None]
			if r.random() < 0.5
			else k * ((abs(x - cx) < s) & (abs(y - cy) < s * r.uniform(0.3, 2)))[..., None]
		)
	return e.astype(np.float32)


def face(r, R):
	"""height of a coin's face in pixels, and how deep a place lies (0 to 1)"""
	n = 2 * R + 3
	y, x = np.mgrid[0:n, 0:n] - (R + 1)
	d = np.hypot(x, y) / R
	z = np.zeros((n, n), np.uint8)
	size = R / r.uniform(38, 70)
	text = ''.join(r.choice(list('ABCDEFGHIKLMNOPRSTUVWX0123456789 .'), int(r.integers(8, 26))))
	a0 = r.uniform(0, 6.3)
	for k, c in enumerate(text if r.random() < 0.9 else ''):
		a = a0 + k * r.uniform(0.16, 0.2) * (1 if len(text) < 20 else 0.8)
		t = np.zeros_like(z)
		cv2.putText(t, c, (R - int(R * 0.1), R + int(R * 0.1)), FONTS[int(r.integers(4))], size, 255, max(1, R // 40), cv2.LINE_AA)
		z = np.maximum(
			z,
			cv2.warpAffine(
				t,
				cv2.getRotationMatrix2D((R + 1.0, R + 1.0), -np.degrees(a) - 90, 1)
				+ [[0, 0, 0.76 * R * np.cos(a)], [0, 0, 0.76 * R * np.sin(a)]],
				(n, n),
			),
		)
	h = z / 255.0 * r.uniform(0.3, 1)
	k = r.random()
	for _ in range(int(r.integers(2, 9)) if k < 0.75 else 0):
		t = np.zeros((n, n), np.uint8)
		P = shape(r, R * r.uniform(0.08, 0.4)) + R + 1 + r.normal(0, 0.17 * R, 2)
		cv2.fillPoly(t, [np.round(P * 8).astype(np.int32)], 255, cv2.LINE_AA, 3)
		h = h + r.uniform(0.2, 0.8) * cv2.GaussianBlur(t / 255.0, (0, 0), max(0.6, R * r.uniform(0.01, 0.08)))
	if k > 0.5:
		t = np.zeros_like(z)
		s = str(int(r.integers(1, 100)))
		cv2.putText(
			t, s, (int(R * 0.75 - 0.25 * R * len(s)), int(R * 1.3)), FONTS[int(r.integers(3))], R / 30, 255, max(2, R // 12), cv2.LINE_AA
		)
		h = h + 0.8 * t / 255.0
	h = h * (d < 0.93) + 1.1 * np.clip((d - 0.9) / 0.03, 0, 1) * (d < 1) + 0.12 * noise(r, n, n, 2)
	if r.random() < 0.3:
		h = h + 0.5 * ((d > 0.9) & (np.sin(np.arctan2(y, x) * r.integers(60, 120)) > 0))
	h = cv2.GaussianBlur(h, (0, 0), max(0.5, R * r.uniform(0.006, 0.02)))
	return h * R * r.uniform(0.012, 0.05), np.clip(1 - h, 0, 1), d


def metal(r, white):
	"""colour of the mirror, and of the film of oxide on it"""
	if white:
		return np.array([1, 0.96, 0.9]) ** r.uniform(0, 2) * r.uniform(0.5, 0.8), np.array([0.2, 0.18, 0.16]) * r.uniform(0.3, 1.2)
	return np.array([0.95, r.uniform(0.52, 0.72), r.uniform(0.32, 0.52)]) * r.uniform(0.8, 1), np.array(
		[0.26, r.uniform(0.11, 0.17), r.uniform(0.04, 0.1)]
	) * r.uniform(0.4, 1.5)


def coins(r):
	ground = 6 if r.random() < 0.3 else 0
	img = (
		(draw(r).astype(np.float32) / 255) ** 2.2
		if ground
		else np.ones((H, W, 3), np.float32) * colours(r, 1)[0] * np.exp(r.uniform(0, 0.3) * noise(r, slope=r.uniform(1, 3)))[..., None]
	)
	if not ground and r.random() < 0.4:
		img = np.ones((H, W, 3), np.float32) * r.uniform(0.3, 0.95) * np.exp(0.03 * noise(r))[..., None]
	mask = np.full((H, W), ground, np.uint8)
	scale = float(np.exp(r.uniform(np.log(3.2), np.log(11))))
	env = surroundings(r)
	light = env.mean((0, 1)) * r.uniform(0.8, 1.4)
	white = r.random() < 0.25
	kinds = [
		(int(scale * r.uniform(7.5, 13.5)), *metal(r, white if r.random() < 0.85 else not white)) for _ in range(int(r.integers(1, 4)))
	]
	kinds = [k + (k[1][2] > 0.6 * k[1][0],) for k in kinds]
	R0 = np.mean([k[0] for k in kinds])
	many = int(np.clip(W * H / (np.pi * R0**2) * r.uniform(0.15, 1.3), 2, 60))
	rough = r.uniform(2, 22)
	worn = r.beta(1.2, 1.6)
	sun = r.uniform(-0.3, 0.3, 2)
	mirror = cv2.GaussianBlur(env, (0, 0), rough)
	for _ in range(many):
		R, tint, film, is_white = kinds[int(r.integers(len(kinds)))]
		h, deep, d = face(r, R)
		n = len(d)
		cx, cy = r.integers([-R // 2, -R // 2], [W + R // 2, H + R // 2])
		gy, gx = np.gradient(h)
		tilt = r.normal(0, 0.06, 2)
		nx, ny = tilt[0] - gx, tilt[1] - gy
		k = 1 / np.sqrt(1 + nx**2 + ny**2)
		nx, ny, nz = nx * k, ny * k, k
		at = [((2 * nz * v + s + 1) * 127.5).astype(np.float32) for v, s in ((nx, sun[0]), (ny, sun[1]))]
		m = cv2.remap(mirror, at[0], at[1], cv2.INTER_LINEAR, borderMode=cv2.BORDER_REFLECT)
		old = np.clip(worn * r.uniform(0.3, 1.6) * (0.35 + 0.9 * deep + 0.35 * noise(r, n, n, 2.2)), 0, 1)[..., None]
		v = m * tint * (1 - old) + old * (film * light * (1 + nx * sun[0] * 2 + ny * sun[1] * 2)[..., None] * 1.2 + 0.12 * m * tint)
		a = np.clip((1 - d) * R + 0.5, 0, 1)[..., None]
		x0, y0, x1, y1 = cx - R - 1, cy - R - 1, cx + R + 2, cy + R + 2
		X0, Y0, X1, Y1 = max(x0, 0), max(y0, 0), min(x1, W), min(y1, H)
		if X1 - X0 < 3 or Y1 - Y0 < 3:
			continue
		s = np.zeros((H, W), np.float32)
		cv2.circle(s, (int(cx + 0.06 * R + 2), int(cy + 0.08 * R + 2)), R, 1, -1)
		s = cv2.GaussianBlur(s[max(0, Y0 - R) : Y1 + R, max(0, X0 - R) : X1 + R], (0, 0), 0.06 * R + 1)[..., None]
		img[max(0, Y0 - R) : Y1 + R, max(0, X0 - R) : X1 + R] *= 1 - 0.45 * s
		cut = (slice(Y0 - y0, Y1 - y0), slice(X0 - x0, X1 - x0))
		img[Y0:Y1, X0:X1] = img[Y0:Y1, X0:X1] * (1 - a[cut]) + v[cut] * a[cut]
		mask[Y0:Y1, X0:X1] = np.where(a[cut][..., 0] > 0.5, 3 if is_white else 1, mask[Y0:Y1, X0:X1])
	img = cv2.GaussianBlur(img, (0, 0), r.uniform(0.4, 1.3)) * r.uniform(0.7, 1.3)
	img = np.clip(img, 0, 1)
	e = np.where(img <= 0.0031308, 12.92 * img, 1.055 * np.maximum(img, 0.0031308) ** (1 / 2.4) - 0.055) + r.normal(
		0, r.uniform(0.002, 0.015), img.shape
	)
	return (np.clip(e, 0, 1) * 255 + 0.5).astype(np.uint8), mask, scale


if __name__ == '__main__':
	out, first, n = sys.argv[1], int(sys.argv[2]), int(sys.argv[3])
	os.makedirs(out, exist_ok=True)
	M = []
	cv2.setNumThreads(1)
	for k in range(first, first + n):
		r = np.random.default_rng(400000 + k)
		name = 'coins-%04d' % k
		img, mask, scale = coins(r)
		Image.fromarray(img).save(os.path.join(out, name + '.webp'), quality=75, method=4)
		Image.fromarray(mask).convert('RGB').save(os.path.join(out, name + '.mask.webp'), lossless=True, method=4)
		M.append(
			dict(
				name=name,
				set='odd',
				group=name,
				surface='tray',
				kind='drawn',
				light='none',
				product='coins',
				wet=False,
				palette=[],
				pxPerMm=round(scale, 3),
				gains=[1.0, 1.0, 1.0],
			)
		)
	json.dump(M, open(os.path.join(out, 'meta-%04d.json' % first), 'w'), indent=0)
	print(n, 'pictures')
