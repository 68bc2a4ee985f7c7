"""Draws pictures that hold no spread and no metal, straight into a pack for train.py: make_drawn.py PACK FIRST COUNT
Overlapping shapes whose sizes follow a power law (the dead-leaves model of natural pictures: Lee, Mumford & Huang, Int. J. Computer Vision 41 (2001) 35),
each shaded, textured with noise whose power falls as one over frequency squared (Field, J. Opt. Soc. Am. A 4 (1987) 2379, cited from memory), sometimes with a
highlight of the lamp's colour. Mask value 6: "no metal, be it surface, insulation or grit". Needs numpy, Pillow and OpenCV."""

import sys, os, json, colorsys
import numpy as np, cv2
from PIL import Image

W, H = 756, 560


def noise(r, w=W, h=H, slope=2.0):
	"""a field of noise, zero mean, unit variance, power ~ frequency ** -slope"""
	f = np.hypot(np.fft.fftfreq(h)[:, None] * h, np.fft.rfftfreq(w)[None] * w)
	f[0, 0] = 1
	z = np.fft.irfft2(
		np.fft.rfft2(r.normal(size=(h, w))) * f ** (-slope / 2) * (np.arange(h)[:, None] + np.arange(w // 2 + 1)[None] > 0), s=(h, w)
	)
	return ((z - z.mean()) / (z.std() + 1e-9)).astype(np.float32)


def colours(r, n):
	"""n colours in linear light around a few themes; browns, reds and skin often, since those are what copper is taken for"""
	out = []
	for _ in range(n):
		h = r.uniform(0.0, 0.12) if r.random() < 0.5 else r.uniform(0, 1)
		s = r.beta(1.6, 1.8) if r.random() < 0.75 else r.beta(1, 6)
		v = r.uniform(0.08, 0.95)
		out.append(np.array(colorsys.hsv_to_rgb(h, s, v)) ** 2.2)
	return np.array(out)


def shape(r, size):
	"""a closed outline about the origin: ellipse, polygon, strip or blob"""
	k = r.random()
	t = np.linspace(0, 2 * np.pi, 40, endpoint=False)
	if k < 0.3:
		p = np.stack([np.cos(t), np.sin(t) * r.uniform(0.3, 1)], 1)
	elif k < 0.55:
		a = np.sort(r.uniform(0, 2 * np.pi, int(r.integers(3, 7))))
		p = np.stack([np.cos(a), np.sin(a)], 1) * r.uniform(0.6, 1, (len(a), 1))
	elif k < 0.75:
		p = np.array([[-1, -1], [1, -1], [1, 1], [-1, 1]]) * [1, r.uniform(0.02, 0.25)]
	else:
		p = (
			np.stack([np.cos(t), np.sin(t)], 1)
			* (1 + 0.25 * np.sin(2 * t + r.uniform(0, 6)) + 0.2 * np.sin(3 * t + r.uniform(0, 6)) + 0.12 * np.sin(5 * t + r.uniform(0, 6)))[
				:, None
			]
		)
	a = r.uniform(0, 2 * np.pi)
	return (p @ np.array([[np.cos(a), -np.sin(a)], [np.sin(a), np.cos(a)]])) * size


def draw(r):
	C = colours(r, int(r.integers(3, 12)))
	img = np.ones((H, W, 3), np.float32) * C[0]
	lo, hi = np.exp(r.uniform(np.log(3), np.log(40))), r.uniform(60, 500)
	tex = [noise(r, slope=s) for s in (1.2, 2.0, 3.0)]
	if r.random() < 0.25:
		img *= np.exp(0.5 * tex[2])[..., None] * np.exp(
			0.25 * np.stack([noise(r, slope=2.5) for _ in range(3)], -1)
		)  # clouds, stains, tissue
	else:
		a = 2.0
		n = int(np.clip(2.5 * W * H / (lo * hi), 60, 2500))
		sun = r.uniform(0, 2 * np.pi)
		gloss = r.uniform(0.2, 1) if r.random() < 0.4 else 0
		for _ in range(n):
			size = (lo**-a + r.random() * (hi**-a - lo**-a)) ** (-1 / a)
			c = r.uniform([0, 0], [W, H])
			P = shape(r, size) + c
			x0, y0 = np.maximum(np.floor(P.min(0)).astype(int) - 1, 0)
			x1, y1 = np.minimum(np.ceil(P.max(0)).astype(int) + 2, [W, H])
			if x1 - x0 < 2 or y1 - y0 < 2:
				continue
			m = np.zeros((y1 - y0, x1 - x0), np.uint8)
			cv2.fillPoly(m, [np.round((P - [x0, y0]) * 8).astype(np.int32)], 255, cv2.LINE_AA, 3)
			m = (m / 255.0)[..., None].astype(np.float32)
			col = C[r.integers(len(C))] * np.exp(r.normal(0, 0.12, 3))
			Y, X = np.mgrid[y0:y1, x0:x1]
			g = ((X - c[0]) * np.cos(sun) + (Y - c[1]) * np.sin(sun)) / size
			k = np.exp(np.clip(r.normal(0, 0.35) * g, -1.2, 1.2) + r.uniform(0, 0.35) * tex[r.integers(3)][y0:y1, x0:x1])
			v = col * k[..., None]
			if gloss and r.random() < 0.5:
				v = v + gloss * np.exp(-(((g - r.uniform(-0.5, 0.5)) / r.uniform(0.06, 0.3)) ** 2))[..., None]
			img[y0:y1, x0:x1] = img[y0:y1, x0:x1] * (1 - m) + v * m
	img *= np.exp(r.uniform(0, 0.15) * tex[0])[..., None] * np.exp(0.3 * tex[2] * r.random())[..., None]
	img = cv2.GaussianBlur(img, (0, 0), r.uniform(0.4, 1.6))
	img = np.clip(img * r.uniform(0.6, 1.3), 0, 1)
	e = np.where(img <= 0.0031308, 12.92 * img, 1.055 * np.maximum(img, 0.0031308) ** (1 / 2.4) - 0.055) + r.normal(
		0, r.uniform(0.002, 0.015), img.shape
	)
	return (np.clip(e, 0, 1) * 255 + 0.5).astype(np.uint8)


if __name__ == '__main__':
	out, first, n = sys.argv[1], int(sys.argv[2]), int(sys.argv[3])
	os.makedirs(out, exist_ok=True)
	M = []
	for k in range(first, first + n):
		r = np.random.default_rng(200000 + k)
		name = 'drawn-%04d' % k
		Image.fromarray(draw(r)).save(os.path.join(out, name + '.webp'), quality=70, method=4)
		Image.fromarray(np.full((H, W), 6, np.uint8)).convert('RGB').save(os.path.join(out, name + '.mask.webp'), lossless=True, method=4)
		M.append(
			dict(
				name=name,
				set='drawn',
				group=name,
				surface='tray',
				kind='drawn',
				light='none',
				product='no spread',
				wet=False,
				palette=[],
				pxPerMm=round(float(np.exp(r.uniform(np.log(5), np.log(11)))), 3),
				gains=[1.0, 1.0, 1.0],
			)
		)
	json.dump(M, open(os.path.join(out, 'meta.json'), 'w'), indent=0)
	print(n, 'pictures')
