"""Cuts the crops of photographs that train.py takes: cut_photos.py FOLDER PACK [test]
FOLDER holds each package of training-photographs.txt unpacked under its own name; zip files inside (pk3, zip) are read as they are.
Writes NAME.webp, NAME.mask.webp and meta.json into PACK: pictures that hold no spread teach "no metal" (mask 6). Some crops get photographed
fruit laid on them (6 too) or coins (1 copper, 3 white metal, 255 rims and pixels whose colour leaves doubt), so that real metal is seen as well.
With "test" it cuts what was kept out of training instead. Needs numpy, Pillow and OpenCV."""

import sys, os, io, json, re, random, zipfile, functools
import numpy as np, cv2
from PIL import Image

LIST = os.path.join(os.path.dirname(os.path.abspath(__file__)), 'training-photographs.txt')
Image.MAX_IMAGE_PIXELS = None
opened = functools.lru_cache(zipfile.ZipFile)


def read_list():
	"""pictures [(package, number in it, path, kind, crops, box, kept out)] in order, and the crop under each composite"""
	rows, under, count = [], {}, {}
	package = folder = kind = ''
	for line in open(LIST).read().split('\n\n', 1)[1].splitlines():
		a = line.split()
		if not a or a[0] == 'licence':
			continue
		if a[0] == 'package':
			package = a[2]
		elif a[0] == 'in':
			folder = a[1]
		elif a[0] == 'shows':
			kind = a[1]
		elif a[0] == 'laid':
			under[a[1]] = a[2]
		else:
			count[package] = count.get(package, 0) + 1
			rows.append(
				(
					package,
					count[package],
					os.path.join(folder, a[0]),
					kind,
					next((int(b) for b in a[1:] if b.isdigit()), 1),
					next((b for b in a[1:] if ',' in b), None),
					a[-1] == 'test',
				)
			)
	return rows, under


def load(root, package, path):
	f = os.path.join(root, package, path)
	m = re.match(r'(.*?\.(?:pk3|zip))/(.*)', f)
	return Image.open(io.BytesIO(opened(m[1]).read(m[2])) if m else f)


def stored(im):
	"""as it reads after WebP of quality 90: the trained ones were kept so before they were packed"""
	f = io.BytesIO()
	im.save(f, 'webp', quality=90, method=2)
	return Image.open(f).convert('RGB')


def shrink(im, side):
	w, h = im.size
	k = side / min(w, h)
	return im.resize((max(side, round(w * k)), max(side, round(h * k))), Image.LANCZOS) if k < 1 else im


def square(im, side, f):
	x, y = int((im.width - side) * f), int((im.height - side) * f)
	return im.crop((x, y, x + side, y + side))


def crops(im, n):
	"""small pictures: squares along the longer side; large ones: the whole at 900 pixels, then the sharpest windows of it at 1700"""
	m = min(im.size)
	long = max(im.size) / m
	if m <= 1100:
		k = min(n, 1 if long < 1.35 else 2 if long < 2.4 else 3)
		return [square(im, min(m, 1000), 0.5 if k == 1 else i / (k - 1)) for i in range(k)]
	k = 1 if long < 1.4 or n < 2 else 2
	out = [square(shrink(im, 900), 900, 0.5 if k == 1 else i) for i in range(k)]
	if len(out) == n:
		return out
	b = shrink(im, 1700)
	W, H = b.size
	a = np.asarray(b)
	got = []
	step = lambda s: max(1, (s - 800) // max(1, (s - 800) // 400))
	sharp = [
		(cv2.Laplacian(cv2.cvtColor(a[y : y + 800, x : x + 800], cv2.COLOR_RGB2GRAY), cv2.CV_32F).var(), x, y)
		for y in range(0, H - 799, step(H))
		for x in range(0, W - 799, step(W))
	]
	for s, x, y in sorted(sharp, reverse=True):
		if len(out) >= n or s < 40:
			break
		if not any(abs(x - X) < 500 and abs(y - Y) < 500 for X, Y in got):
			got.append((x, y))
			out.append(b.crop((x, y, x + 800, y + 800)))
	return out


def lay(rnd, ground, stamps, cover, lo, hi, label):
	"""stamps at random places, sizes and angles until `cover` of the ground is hidden: picture and mask"""
	a = np.asarray(ground.crop((0, 0, 800, 800)), np.float32).copy()
	mask = np.full((800, 800), 6, np.uint8)
	hidden = np.zeros((800, 800), bool)
	tries = 0
	while hidden.mean() < cover and tries < 4000:
		tries += 1
		s = rnd.choice(stamps).convert('RGBA')
		k = min(1, rnd.uniform(lo, hi) / max(s.size))
		s = s.resize((max(3, round(s.width * k)), max(3, round(s.height * k))), Image.LANCZOS).rotate(
			rnd.uniform(0, 360), Image.BICUBIC, expand=True
		)
		x, y = rnd.randint(-s.width // 2, 800 - s.width // 2), rnd.randint(-s.height // 2, 800 - s.height // 2)
		x0, y0, x1, y1 = max(0, x), max(0, y), min(800, x + s.width), min(800, y + s.height)
		if x1 <= x0 or y1 <= y0:
			continue
		at = np.s_[y0:y1, x0:x1]
		cut = np.s_[y0 - y : y1 - y, x0 - x : x1 - x]
		p = np.asarray(s)
		c = p[cut][..., :3].astype(np.float32)
		al = p[cut][..., 3:].astype(np.float32) / 255
		a[at] = a[at] * (1 - al) + np.clip(c * rnd.uniform(0.85, 1.1), 0, 255) * al
		hidden[at] |= al[..., 0] > 0.5
		if label == 6:
			continue
		core = cv2.erode((p[..., 3] > 250).astype(np.uint8), np.ones((5, 5)), borderValue=0)[cut] > 0
		m = mask[at]
		m[al[..., 0] > 0.02] = 255
		m[core & ((c[..., 0] > c[..., 2] + 12) & (c[..., 0] > 45) if label == 1 else (c.max(2) - c.min(2) < 36) & (c.max(2) > 50))] = label
	return Image.fromarray(np.clip(a, 0, 255).astype(np.uint8)), mask


# name, composites, kind, mask value, drawn from, sizes in pixels, kept out of training; the seeds and the order make them the same again
FRUIT = ((14, 40), (30, 90), (60, 180), (20, 120))
COINS = ((20, 50), (45, 100), (25, 100))
WHITE = ((20, 50), (40, 80), (25, 70))
SETS = (
	(7, (('mix-fruit-', 24, 'plastic', 6, 'fruit', FRUIT, False), ('mix-fruit-t', 8, 'plastic', 6, 'fruit', FRUIT, True))),
	(
		11,
		(
			('copper-coins-', 12, 'copper', 1, 'copper', COINS, False),
			('copper-coins-t', 4, 'copper', 1, 'copper', COINS[:2], True),
			('brass-coins-', 6, 'copper', 1, 'brass', COINS[:2], False),
			('brass-coins-t', 2, 'copper', 1, 'brass', COINS[:2], True),
			('white-coins-', 9, 'white', 3, 'white', WHITE, False),
			('white-coins-t', 3, 'white', 3, 'white', WHITE[:2], True),
		),
	),
)
GROUNDS = {
	(7, False): 166,
	(7, True): 55,
	(11, False): 164,
	(11, True): 50,
}  # how many crops a ground was drawn from: keeps the random numbers in step, as do composites that are not written

if __name__ == '__main__':
	root, out, test = sys.argv[1], sys.argv[2], sys.argv[3:] == ['test']
	os.makedirs(out, exist_ok=True)
	M = []
	cuts = {}
	stamps = {}
	rows, under = read_list()
	blank = Image.new('RGB', (800, 800))

	def write(name, kind, im, mask):
		im.save(os.path.join(out, name + '.webp'), quality=72, method=3)
		Image.fromarray(mask).convert('RGB').save(os.path.join(out, name + '.mask.webp'), lossless=True, method=2)
		M.append(
			dict(
				name=name,
				set='photo',
				group=name,
				surface='tray',
				kind='photo',
				light='unknown',
				product=kind,
				wet=False,
				palette=[],
				pxPerMm=8.0,
				gains=[1.0, 1.0, 1.0],
			)
		)

	for package, number, path, kind, n, box, kept in rows:
		if kind.startswith('stamp-'):
			stamps.setdefault((kind[6:], kept), []).append(load(root, package, path))
			continue
		if kept != test:
			continue
		im = load(root, package, path).convert('RGB')
		w, h = im.size
		if box:
			b = [float(v) for v in box.split(',')]
			im = im.crop((int(b[0] * w), int(b[1] * h), int(b[2] * w), int(b[3] * h)))
		for i, c in enumerate(map(stored, crops(im, n))):
			name = '%s-%d-%d' % (package, number, i)
			write(name, kind, c, np.full(c.size[::-1], 6, np.uint8))
			cuts[name] = c if name in under.values() else None
	for seed, groups in SETS:
		rnd = random.Random(seed)
		for name, count, kind, label, source, sizes, kept in groups:
			for i in range(count):
				S = stamps[source, kept]
				S = rnd.sample(S, 10 if kept else 14) if source == 'fruit' else S
				cover = rnd.uniform(0.35 if source == 'fruit' else 0.3, 0.85)
				rnd.randrange(GROUNDS[seed, kept])
				lo, hi = sizes[i % len(sizes)]
				ground = cuts.get(under.get(name + str(i)))
				im, mask = lay(rnd, ground or blank, S, cover, lo, hi, label)
				if ground:
					write(name + str(i), kind, stored(im), mask)
	json.dump(M, open(os.path.join(out, 'meta.json'), 'w'), indent=0)
	print(len(M), 'pictures')
