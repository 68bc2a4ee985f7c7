"""Trains the pixel classifier: train.py PACK[:PACK...] OUT [key=value ...]
  fold=K of folds=N (scenes of fold K are held out and scored; fold=-1 trains on everything)
  steps, batch, crop, lr, seed, scale (px/mm), widths (comma list), seconds (schedule by wall time instead of steps)
  test=PACK[:PACK...] (scenes that are only scored), area (weight of the crops' area shares in the loss)
  begin=CHECKPOINT (weights to go on from), save (steps between checkpoints OUT/TAG-now.pt)
  join=PACK[:PACK...] (a pack that is still being rendered: each of its meta*.json is taken in as soon as it appears)
  skip=NAME[,NAME...] (scenes that are kept out)
  tail=1 (goes on with a trained network: only the way up is trained, normalisation and loss weights stay as they are)
  renew=1 (for weights taken back out of classifier/ by unfold.py, where normalisation is folded in: it is measured anew, see renew())
  again=N (times more that the pair of layers at an eighth is gone through: their normalisation stays as begun with, since it is one for all rounds)
  lay=SHARE (of the crops: bare surface is replaced by photographed ground, and a third as often insulation's skin, so that no photograph tells itself by its grain)
Several devices: torchrun --nproc_per_node=N train.py ...; each draws crops of its own, the gradients are averaged, the first writes.
Needs PyTorch, numpy, OpenCV. Targets are soft: a pixel at the working scale holds the share of each class that the finer
mask shows inside it, so that the mean probability estimates covered area also where strands are thinner than a pixel.
Mask value 6 says "no metal": its target is the net's own reading with metals, stone and steel taken out, so it teaches nothing else.
The loss weighs rare classes up (share ** -0.35); the weights are taken out of the last bias on export, so that outputs
are calibrated to the class shares of the training crops ('prior' in the results)."""

import sys, os, json, time, math, zlib, copy, glob
import numpy as np, torch, torch.nn.functional as F, torch.distributed as dist
from concurrent.futures import ThreadPoolExecutor
from PIL import Image
from network import Net, Conv, cost

A = dict(
	fold=-1,
	folds=5,
	steps=6000,
	batch=24,
	crop=256,
	lr=2.5e-3,
	seed=1,
	scale=8.0,
	widths='20,56,88,88',
	feats=24,
	seconds=0,
	wpow=0.35,
	compile=1,
	tag='run',
	wd=0.01,
	strong=0.25,
	room=900,
	join='',
	skip='',
	test='',
	area=0.0,
	begin='',
	save=2000,
	tail=0,
	lay=0.0,
	again=0,
	renew=0,
)
if len(sys.argv) < 3:
	sys.exit(__doc__)
PACK, OUT = sys.argv[1:3]
for kv in sys.argv[3:]:
	k, v = kv.split('=', 1)
	A[k] = type(A[k])(v)
dev = 'cuda' if torch.cuda.is_available() else 'cpu'
RANK, WORLD = int(os.environ.get('RANK', 0)), int(os.environ.get('WORLD_SIZE', 1))
if WORLD > 1:
	if dev == 'cuda':
		torch.cuda.set_device(int(os.environ['LOCAL_RANK']))
	dist.init_process_group('nccl' if dev == 'cuda' else 'gloo')
torch.manual_seed(A['seed'])
rng = np.random.default_rng(A['seed'] + 1000 * RANK)
if dev == 'cuda':
	import torch._dynamo

	torch._dynamo.config.suppress_errors = True
torch.backends.cudnn.benchmark = True
torch.backends.cuda.matmul.allow_tf32 = True
torch.backends.cudnn.allow_tf32 = True
os.makedirs(OUT, exist_ok=True)
T0 = time.time()
S = A['scale']
C = 6
NO_METAL = 6
OPENED = dict(args=A, torch=torch.__version__, numpy=np.__version__, device=torch.cuda.get_device_name(0) if dev == 'cuda' else 'cpu')
say = lambda *a: RANK or print('%7.1f' % (time.time() - T0), A['tag'], *a, flush=True)


def fold_of(s):
	if s['group'] == 'dev-run':
		return 0
	n = A['folds']
	h = zlib.crc32(s['group'].encode())
	return 1 + h % (n - 1) if s['set'] == 'tray' else h % n  # the run's twelve trays are fold 0; the other trays share the rest


# ------------------------------------------------------------ data: one flat byte store on the device
def load(pack, listing):
	ms = [dict(s, folder=pack) for s in json.load(open(os.path.join(pack, listing))) if s['name'] not in SKIP]
	read = lambda s: [np.asarray(Image.open(os.path.join(s['folder'], s['name'] + e)).convert('RGB')) for e in ('.webp', '.mask.webp')]
	with ThreadPoolExecutor(8) as ex:
		return ms, [(a, m[..., 0]) for a, m in ex.map(read, ms)]


SKIP = set(A['skip'].split(','))
SCENES = 6000
PIXELS = A['room'] * 10**6
meta, data, train, held = [], [], [], []
store = torch.zeros(PIXELS, 4, dtype=torch.uint8, device=dev)
OFF = torch.zeros(SCENES, dtype=torch.long, device=dev)
WH = torch.ones(SCENES, 2, dtype=torch.long, device=dev)
SC = torch.ones(SCENES, device=dev)
GN = torch.ones(SCENES, 3, device=dev)
loose = torch.zeros(SCENES, dtype=torch.bool, device=dev)
WHn = np.ones((SCENES, 2))
spots = {c: [] for c in range(1, 6)}
joined = {}
ground = []
filled = 0
pick_w = np.zeros(0)


has_metal = lambda s: s['product'] in ('copper', 'white')  # photographed coins


def add(pack, listing='meta.json', test=False):
	"""puts the training scenes of a pack into the store (its size is fixed, so nothing is compiled anew)"""
	global filled, pick_w
	ms, ds = load(pack, listing)
	for s, d in zip(ms, ds):
		i = len(meta)
		meta.append(s)
		data.append(d)
		if test or fold_of(s) == A['fold']:
			held.append(i)
			continue
		img, m = d
		h, w = m.shape
		k = len(train)
		if k >= SCENES or filled + w * h > PIXELS:
			say('no room for', s['name'])
			continue
		train.append(i)
		if s['set'] == 'photo' and not has_metal(s):
			ground.append(k)  # photographed surfaces that can be laid under others
		store[filled : filled + w * h] = torch.from_numpy(np.concatenate([img, m[..., None]], -1).reshape(-1, 4)).to(dev)
		OFF[k] = filled
		WH[k] = torch.tensor([w, h])
		WHn[k] = (w, h)
		SC[k] = s['pxPerMm']
		GN[k] = torch.tensor(s['gains'])
		loose[k] = s['surface'] == 'tray'
		filled += w * h
		for c in spots:  # where each class lies, at most 400 points a scene
			p = np.flatnonzero(m == c)
			if len(p) > 60:
				p = rng.choice(p, min(400, len(p)), replace=False)
				spots[c].append(np.stack([np.full(len(p), k), p % w, p // w], 1))
	pick_w = np.array(
		[
			(
				1.5
				if meta[i]['product'] == 'wide metal'
				else {'tray': 4.0, 'train': 1.0, 'more': 1.2, 'odd': 0.8, 'drawn': 0.5, 'photo': 5.0 if has_metal(meta[i]) else 0.9}[
					meta[i]['set']
				]
			)
			for i in train
		]
	)
	pick_w /= pick_w.sum()
	joined.update({c: np.concatenate(v) for c, v in spots.items() if v})
	say('scenes', len(meta), 'train', len(train), 'held out', len(held), 'Mpx', filled // 10**6)


for p in PACK.split(':'):
	add(p)
for p in A['test'].split(':'):
	if p:
		add(p, test=True)
LUT = torch.tensor([(v / 12.92 if v <= 0.04045 else ((v + 0.055) / 1.055) ** 2.4) for v in np.arange(256) / 255], device=dev).float()
U = lambda a, b, *s: torch.rand(*s, device=dev) * (b - a) + a
N_ = lambda sd, *s: torch.randn(*s, device=dev) * sd
some = lambda p, n: (torch.rand(n, device=dev) < p).float().view(-1, 1, 1, 1)


def encode(r):
	r = r.clamp(min=0)
	e = torch.where(r <= 0.0031308, 12.92 * r, 1.055 * r.clamp(min=0.0031308) ** (1 / 2.4) - 0.055)
	return e.clamp(0, 1.2)


def crops(n, size):
	"""n random crops: linear reflectance n x 3 x size x size, soft labels n x 7 x size x size, weight n x 1 x size x size"""
	k = rng.choice(len(train), n, p=pick_w)
	cx = np.empty(n)
	cy = np.empty(n)
	wh = WHn[k]
	cx[:] = rng.uniform(0, 1, n) * wh[:, 0]
	cy[:] = rng.uniform(0, 1, n) * wh[:, 1]
	for b in range(n):
		u = rng.random()
		c = 2 if u < 0.22 else 3 if u < 0.30 else 5 if u < 0.34 else 1 if u < 0.42 else 0
		if c in joined:
			q = joined[c][rng.integers(len(joined[c]))]
			k[b], cx[b], cy[b] = q
	k = torch.from_numpy(k).to(dev)
	ctr = torch.from_numpy(np.stack([cx, cy], 1)).float().to(dev)
	f = SC[k] / S / torch.exp(U(math.log(0.72), math.log(1.4), n))  # stored pixels per working pixel
	keep = (torch.rand(n, device=dev) < 0.35).float()
	th = U(0, 2 * math.pi, n)
	th = torch.where(keep > 0, (th / (math.pi / 2)).round() * (math.pi / 2), th)
	flip = (torch.rand(n, device=dev) < 0.5).float() * 2 - 1
	an = torch.exp(N_(0.06, n))
	M = torch.stack(
		[
			torch.stack([torch.cos(th) * f * an * flip, -torch.sin(th) * f], 1),
			torch.stack([torch.sin(th) * f * an * flip, torch.cos(th) * f], 1),
		],
		1,
	)  # n,2,2
	half = size / 2
	ctr = ctr + (M @ U(-0.7 * half, 0.7 * half, n, 2, 1))[..., 0]
	# keep the crop's centre inside the picture
	lo = torch.minimum(half * f[:, None] * 0.8, WH[k].float() / 2)
	ctr = torch.maximum(torch.minimum(ctr, WH[k] - lo), lo)
	return sample(k, M, ctr, size)


def sample(k, M, ctr, size):
	"""reads the crops out of the store: 2 x 2 bilinear taps a pixel, averaged in linear light; labels likewise, as shares (the seventh: no metal)"""
	n = len(k)
	half = size / 2
	g = (torch.arange(2 * size, device=dev) + 0.5) / 2 - half
	P = torch.stack(torch.meshgrid(g, g, indexing='xy'), 0).view(1, 2, -1)
	xy = M @ P + ctr[:, :, None]
	x, y = xy[:, 0], xy[:, 1]
	w, h = WH[k, 0].view(-1, 1), WH[k, 1].view(-1, 1)
	off = OFF[k].view(-1, 1)
	inside = (x >= 0) & (x < w) & (y >= 0) & (y < h)
	xi = lambda t, m: t.long().clamp(min=0).minimum(m - 1)
	lab = store[off + xi(y, h) * w + xi(x, w)][..., 3]
	ok = inside & (lab <= NO_METAL)
	x = x - 0.5
	y = y - 0.5
	x0 = x.floor()
	y0 = y.floor()
	fx = (x - x0)[..., None]
	fy = (y - y0)[..., None]
	px = lambda a, b: LUT[store[off + xi(b, h) * w + xi(a, w)][..., :3].int()]
	v = (px(x0, y0) * (1 - fx) + px(x0 + 1, y0) * fx) * (1 - fy) + (px(x0, y0 + 1) * (1 - fx) + px(x0 + 1, y0 + 1) * fx) * fy
	v = v * GN[k].view(-1, 1, 3)
	img = F.avg_pool2d(v.view(n, 2 * size, 2 * size, 3).permute(0, 3, 1, 2), 2)
	hot = F.one_hot(lab.clamp(max=NO_METAL).long(), C + 1).float() * ok[..., None]
	hot = F.avg_pool2d(hot.view(n, 2 * size, 2 * size, C + 1).permute(0, 3, 1, 2), 2)
	wt = hot.sum(1, keepdim=True)
	return img, hot / wt.clamp(min=1e-6), (wt > 0.99).float(), loose[k]


def lay(r, l):
	"""puts photographed ground under (A['lay'] of the crops) and on the insulation of (0.3 times as many) rendered crops"""
	n, _, size, _ = r.shape
	k = torch.from_numpy(rng.choice(ground, n)).to(dev)
	half = size / 2
	f = SC[k] / S / torch.exp(U(math.log(0.6), math.log(1.6), n))
	th = U(0, 2 * math.pi, n)
	M = torch.stack([torch.stack([torch.cos(th) * f, -torch.sin(th) * f], 1), torch.stack([torch.sin(th) * f, torch.cos(th) * f], 1)], 1)
	lo = torch.minimum((half * 1.45 * f)[:, None].expand(-1, 2), WH[k].float() / 2)
	ctr = U(0, 1, n, 2) * WH[k].float()
	ctr = torch.maximum(torch.minimum(ctr, WH[k] - lo), lo)
	p, _, ok, _ = sample(k, M, ctr, size)
	p = p * torch.exp(N_(0.35, n, 1, 1, 1))
	real = (l[:, NO_METAL:].amax((1, 2, 3), keepdim=True) < 0.01).float() * ok
	for c, share in ((0, A['lay']), (4, 0.3 * A['lay'])):
		q = l[:, c : c + 1] * some(share, n) * real
		r = r * (1 - q) + p * q
	return r


def hue(r, ang, gain):
	"""turns colours about the grey axis (linear light) by ang, keeps luminance roughly, times gain"""
	c, s = torch.cos(ang), torch.sin(ang)
	a = (1 - c) / 3
	b = s / math.sqrt(3)
	d = c + a
	R = torch.stack([torch.stack([d, a - b, a + b], 1), torch.stack([a + b, d, a - b], 1), torch.stack([a - b, a + b, d], 1)], 1)
	return (torch.einsum('nij,njhw->nihw', R, r)).clamp(min=0.002) * gain.view(-1, 1, 1, 1)


def augment(r, lab, loose_):
	n, _, h, w = r.shape
	L = lab
	# surfaces and insulation of colours never rendered: recolour by their own share of each pixel
	bg = L[:, 0:1]
	col = torch.exp(U(math.log(0.12), math.log(1.1), n, 3, 1, 1))
	r = r * (1 + bg * some(0.22, n) * (col - 1))
	grey = torch.exp(U(math.log(0.15), math.log(1.1), n, 1, 1, 1))
	r = r * (1 + bg * some(0.10, n) * (grey - 1))
	wide = some(0.3, n).view(-1)
	ang = N_(0.25, n) * (1 - wide) + U(-3.14, 3.14, n) * wide
	r = r + (L[:, 4:5] + L[:, NO_METAL:]) * some(0.35, n) * (hue(r, ang, torch.exp(N_(0.25, n))) - r)
	cu = torch.exp(N_(0.15, n, 1, 1, 1)) * torch.exp(N_(0.05, n, 3, 1, 1))
	r = r * (1 + L[:, 1:2] * some(0.4, n) * (cu - 1))
	# light: exposure, gains, channel mixing, fall-off
	strong = (torch.rand(n, device=dev) < torch.where(loose_, 0.65, A['strong'])).float().view(-1, 1, 1, 1)
	wild = some(0.06, n) * loose_.float().view(-1, 1, 1, 1)  # no grey reference and the camera's white balance far off
	r = (
		r
		* torch.exp(N_(1, n, 1, 1, 1) * (0.10 + 0.30 * strong) - 0.08 * strong)
		* torch.exp(N_(1, n, 3, 1, 1) * (0.03 + 0.11 * strong + 0.16 * wild))
	)
	mix = torch.eye(3, device=dev) + N_(0.04, n, 3, 3) * some(0.5, n).view(-1, 1, 1)
	mix = mix / mix.sum(2, keepdim=True)
	r = torch.einsum('nij,njhw->nihw', mix, r).clamp(min=0)
	t = torch.linspace(-1, 1, h, device=dev)
	X, Y = t.view(1, 1, 1, -1), t.view(1, 1, -1, 1)
	q = N_(0.06, n, 5, 1, 1, 1)
	r = r * torch.exp(q[:, 0] * X + q[:, 1] * Y + q[:, 2] * X * Y + q[:, 3] * X * X + q[:, 4] * Y * Y)
	# lens: blur of random width (some pictures), separable
	sg = (U(0.25, 1.1, n) * (torch.rand(n, device=dev) < 0.35)).clamp(min=0.05)
	tt = torch.arange(-2, 3, device=dev).float()
	kk = torch.exp(-(tt**2) / (2 * sg[:, None] ** 2))
	kk = kk / kk.sum(1, keepdim=True)
	kk = kk.repeat_interleave(3, 0)
	z = F.pad(r.reshape(1, n * 3, h, w), (2, 2, 2, 2), mode='replicate')
	z = F.conv2d(z, kk.view(-1, 1, 1, 5), groups=n * 3)
	r = F.conv2d(z, kk.view(-1, 1, 5, 1), groups=n * 3).view(n, 3, h, w)
	e = encode(r)
	# picture: tone curve, colour strength, sharpening, noise, coarse chroma, clipping by the camera
	e = e + U(-0.25, 0.3, n, 1, 1, 1) * some(0.6, n) * (e - 0.45) * e * (1 - e).clamp(min=0)
	Y_ = (e * torch.tensor([0.2126, 0.7152, 0.0722], device=dev).view(1, 3, 1, 1)).sum(1, keepdim=True)
	e = Y_ + (e - Y_) * (1 + N_(0.10, n, 1, 1, 1))
	e = e + U(0, 0.5, n, 1, 1, 1) * some(0.25, n) * (e - F.avg_pool2d(F.pad(e, (1, 1, 1, 1), mode='replicate'), 3, 1)).clamp(-0.12, 0.12)
	e = (
		e
		+ N_(1, *e.shape) * (U(0, 0.025, n, 1, 1, 1) * some(0.5, n))
		+ F.interpolate(N_(1, n, 3, h // 2, w // 2), scale_factor=2, mode='bilinear') * (U(0, 0.025, n, 1, 1, 1) * some(0.4, n))
	)
	Y_ = e.mean(1, keepdim=True)
	c2 = F.interpolate(F.avg_pool2d(e - Y_, 2), scale_factor=2, mode='bilinear')
	e = e + some(0.3, n) * (Y_ + c2 - e)
	top = U(0.85, 1.2, n, 1, 1, 1) * some(0.3, n)
	e = torch.where(top > 0, torch.minimum(e, top.clamp(min=0.1)), e)
	return e.clamp(0, 1.2) - 0.5


# ------------------------------------------------------------ scoring of whole scenes
def area_matrix(n, m):
	"""m x n weights: exact area averages when m < n, half-pixel bilinear when m >= n (as lib/segmentation/resample.ts)"""
	k = n / m
	j = torch.arange(m, device=dev, dtype=torch.float64)[:, None]
	i = torch.arange(n, device=dev, dtype=torch.float64)[None]
	if m < n:
		return ((torch.minimum((j + 1) * k, i + 1) - torch.maximum(j * k, i)).clamp(min=0) / k).float()
	x = ((j + 0.5) * k - 0.5).clamp(0, n - 1)
	return (1 - (x - i).abs()).clamp(min=0).float()


@torch.no_grad()
def predict(net, img, gains, scale):
	"""native picture -> probabilities at the native size (working-scale output, bilinear back)"""
	h, w = img.shape[:2]
	k = S / scale
	H, W = max(8, round(h * k)), max(8, round(w * k))
	r = LUT[torch.tensor(img).int().to(dev)] * torch.tensor(gains, device=dev).float()
	r = r.permute(2, 0, 1)
	r = torch.einsum('ah,chw->caw', area_matrix(h, H), r)
	r = torch.einsum('bw,caw->cab', area_matrix(w, W), r)
	x = (encode(r) - 0.5)[None]
	x = F.pad(x, (0, -W % 8, 0, -H % 8), mode='replicate') if H > 8 else x
	p = torch.softmax(net(x.contiguous(memory_format=torch.channels_last)).float(), 1)[..., :H, :W]
	return F.interpolate(p, size=(h, w), mode='bilinear')[0]


TAUS = (0.25, 0.5, 0.6, 0.7, 0.8, 1.0)  # called class = argmax of probability / prior ** tau


def score(net, prior):
	res = []
	net.eval()
	for i in held:
		s = meta[i]
		img, m = data[i]
		p = predict(net, img, s['gains'], s['pxPerMm'])
		t = torch.from_numpy(m.astype(np.int64)).to(dev)
		ok = t < 6
		P = p[:, ok].float()
		tt = t[ok]
		r = dict(
			name=s['name'], set=s['set'], surface=s['surface'], light=s['light'], kind=s['kind'], product=s['product'], palette=s['palette']
		)
		cm = lambda lab: torch.bincount(tt * C + lab, minlength=C * C).view(C, C).tolist()
		r['hard'] = cm(P.argmax(0))
		for tau in TAUS:
			r['t%.2f' % tau] = cm((P / prior[:, None] ** tau).argmax(0))
		r['soft'] = (torch.zeros(C, C, device=dev, dtype=torch.float64).index_add_(0, tt, P.t().double())).tolist()
		r['conf'] = [float(x) for x in torch.stack([(P.max(0)[0] > c).float().mean() for c in (0.5, 0.6, 0.7, 0.8, 0.9)])]
		res.append(r)
	return res


def summary(res):
	out = {}
	for kind in ('mat', 'tray', 'close-up'):
		R = [r for r in res if (r['set'] == 'tray' and r['surface'] == kind) or (r['set'] != 'tray' and kind == 'close-up')]
		if not R:
			continue
		o = dict(scenes=len(R))
		for d in ['hard'] + ['t%.2f' % t for t in TAUS]:
			M = sum(np.array(r[d], float) for r in R)
			rec = [M[c, c] / max(1, M[c].sum()) for c in range(C)]
			o[d] = dict(recall=[round(x, 3) for x in rec], balanced=round(float(np.mean([rec[c] for c in range(5) if M[c].sum() > 0])), 3))
		for d in ('hard', 'soft', 't0.25', 't0.50'):
			E = []
			for r in R:
				t = np.array(r['hard'], float).sum(1)
				a = np.array(r[d], float).sum(0)
				E.append(a[1:] / max(a[1:].sum(), 1e-9) - t[1:] / t[1:].sum())
			E = 100 * np.array(E)
			o['share_' + d] = dict(median_abs=np.median(abs(E), 0).round(2).tolist(), bias=np.median(E, 0).round(2).tolist())
		B = [r for r in R if np.array(r['hard'])[1:4].sum() == 0]
		if B:
			o['blank_copper_pct_of_particles'] = [
				[
					r['name'],
					round(100 * np.array(r['hard'])[4, 1] / np.array(r['hard'])[4].sum(), 3),
					round(100 * np.array(r['soft'])[4, 1] / np.array(r['soft'])[4].sum(), 3),
				]
				for r in B
			][:12]
		o['insulation_called_copper_pct'] = round(
			100 * sum(np.array(r['hard'])[4, 1] for r in R) / max(1, sum(np.array(r['hard'])[4].sum() for r in R)), 3
		)
		out[kind] = o
	return out


# ------------------------------------------------------------ training
@torch.no_grad()
def renew(net, rms=0.15):
	"""parts each folded layer into weights of one size and a normalisation that undoes it: the answers stay, and a step of the optimiser
	moves every layer alike. Folded, weights differ in size a thousandfold, so that a step that is right for one layer wipes another out."""
	layers = [m for m in net.modules() if isinstance(m, Conv) and not (A['again'] and (m is net.e3a or m is net.e3b))]
	got = {m: [] for m in layers}
	hooks = [
		m.conv.register_forward_hook(
			lambda c, i, o, m=m: got[m].append(torch.stack([o.double().mean((0, 2, 3)), (o.double() ** 2).mean((0, 2, 3))]))
		)
		for m in layers
	]
	net.eval()
	for _ in range(24 if dev == 'cuda' else 2):
		r, l, _, lo = crops(A['batch'], A['crop'])
		net(augment(r, l, lo))
	net.train()
	[h.remove() for h in hooks]
	for m in layers:
		n = m.bn
		gain = n.weight / torch.sqrt(n.running_var + n.eps)
		shift = n.bias - n.running_mean * gain
		mean, square = torch.stack(got[m]).mean(0)
		k = rms / m.conv.weight.pow(2).mean().sqrt()
		var = ((square - mean**2).clamp(min=0) * k**2).float()
		mean = mean.float()
		m.conv.weight *= k
		n.running_mean.copy_(k * mean)
		n.running_var.copy_(var)
		n.weight.copy_(gain * torch.sqrt(var + n.eps) / k)
		n.bias.copy_(shift + gain * mean)
	if WORLD > 1:
		[dist.broadcast(v, 0) for v in net.state_dict().values()]


net = Net(tuple(int(x) for x in A['widths'].split(',')), A['feats'], again=A['again']).to(dev).to(memory_format=torch.channels_last)
say('parameters %d, multiply-adds per pixel %d' % cost(net))
if A['begin']:
	net.load_state_dict(torch.load(A['begin'], map_location=dev)['net'])
if A['renew']:
	renew(net)
ema = copy.deepcopy(net).eval()
decay = [p for n, p in net.named_parameters() if p.ndim == 4]
rest = [p for n, p in net.named_parameters() if p.ndim != 4]
groups = [dict(params=decay, weight_decay=A['wd']), dict(params=rest, weight_decay=0)]
if A['tail']:
	net.eval()
	up = [p for n, p in net.named_parameters() if n[0] in 'ujfh']
	groups = [dict(params=up, weight_decay=0)]
	for p in net.parameters():
		p.requires_grad_(any(p is q for q in up))
if A['again']:
	net.e3a.bn.eval()
	net.e3b.bn.eval()
opt = torch.optim.AdamW(groups, lr=A['lr'], fused=dev == 'cuda')
run = torch.compile(net) if A['compile'] and dev == 'cuda' else net
if A['compile'] and dev == 'cuda':
	augment = torch.compile(augment, dynamic=False)
	sample = torch.compile(sample, dynamic=False)


@torch.no_grad()
def measure():
	p = torch.zeros(C, device=dev)
	for _ in range(24 if dev == 'cuda' else 2):
		_, l, w, _ = crops(A['batch'], A['crop'])
		p += (l[:, :C] * w).sum((0, 2, 3))
	return (p / p.sum()).clamp(min=1e-4)


torch.manual_seed(A['seed'] + 1000 * RANK)
prior = measure()
if WORLD > 1:
	dist.broadcast(prior, 0)
cw = prior ** -A['wpow']
cw = cw / (cw * prior).sum()
if A['begin']:
	K = torch.load(A['begin'], map_location=dev)
	cw, prior = K['cw'], K['prior'] if A['tail'] else prior  # the last bias was learnt with these weights
METAL_FREE = torch.tensor([1.0, 0, 0, 0, 1, 0], device=dev).view(1, -1, 1, 1)
say('prior', [round(x, 4) for x in prior.tolist()], 'weights', [round(x, 3) for x in cw.tolist()])
taken = set()
step = 0
seen = 0.0
start = time.time()
log = []
while True:
	if step % 20 == 0:  # all devices go by the first one's clock
		clock = torch.tensor(time.time() - start, device=dev)
		if WORLD > 1:
			dist.broadcast(clock, 0)
		clock = clock.item()
	done = step / A['steps'] if not A['seconds'] else clock / A['seconds']
	if done >= 1:
		break
	for g in opt.param_groups:
		g['lr'] = A['lr'] * min(1, (step + 1) / 200) * (0.5 + 0.5 * math.cos(math.pi * done)) + 1e-6
	with torch.no_grad():
		r, l, w, lo = crops(A['batch'], A['crop'])
		r = lay(r, l) if A['lay'] else r
		x = augment(r, l, lo).contiguous(memory_format=torch.channels_last)
	with torch.autocast(dev, dtype=torch.bfloat16, enabled=dev == 'cuda'):
		z = run(x)
	with torch.no_grad():
		q = torch.softmax(z.float(), 1) * METAL_FREE
		l = l[:, :C] + l[:, NO_METAL:] * q / q.sum(1, keepdim=True).clamp(min=1e-6)
	loss = -((torch.log_softmax(z.float(), 1) * l * cw.view(1, -1, 1, 1)).sum(1, keepdim=True) * w).sum() / w.sum().clamp(min=1)
	if A['area']:  # grades rest on area shares: each crop's shares, calibrated as on export, should come out too
		p = torch.softmax(z.float() - torch.log(cw).view(1, -1, 1, 1), 1)
		n = w.sum((2, 3)).clamp(min=1)
		loss = loss + A['area'] * (((p - l) * w).sum((2, 3)) / n).abs().sum(1).mean()
	opt.zero_grad(set_to_none=True)
	loss.backward()
	if WORLD > 1:
		flat = torch.cat([p.grad.flatten() for p in net.parameters() if p.requires_grad])
		dist.all_reduce(flat)
		at = 0
		for p in (q for q in net.parameters() if q.requires_grad):
			p.grad.copy_(flat[at : at + p.numel()].view_as(p) / WORLD)
			at += p.numel()
	torch.nn.utils.clip_grad_norm_([p for p in net.parameters() if p.requires_grad], 1.0)
	opt.step()
	step += 1
	with torch.no_grad():
		m = min(0.999, (1 + step) / (20 + step))
		torch._foreach_lerp_(
			[p for p in ema.state_dict().values() if p.dtype.is_floating_point],
			[p for p in net.state_dict().values() if p.dtype.is_floating_point],
			1 - m,
		)
	if step % (200 if dev == 'cuda' else 5) == 0:
		seen = loss.item()
		say('step', step, 'done %.3f' % done, 'loss %.4f' % seen)
		if not math.isfinite(seen):
			sys.exit('loss is not finite')
		new = [f for p in A['join'].split(':') if p for f in sorted(glob.glob(os.path.join(p, 'meta*.json'))) if f not in taken]
		for f in new:
			taken.add(f)
			add(os.path.dirname(f), os.path.basename(f))
		if new:
			prior = measure()
			say('prior', [round(x, 4) for x in prior.tolist()])
	if step % A['save'] == 0 and not RANK:  # a machine can be lost: the mean weights so far, as raw as they stand in training
		f = os.path.join(OUT, A['tag'] + '-now.pt')
		torch.save(dict(net=ema.state_dict(), cw=cw, prior=prior, step=step, scenes=[meta[i]['name'] for i in train]), f + '~')
		os.replace(f + '~', f)
if WORLD > 1:
	dist.destroy_process_group()
if RANK:
	sys.exit()
# the loss weights leave through the last bias: outputs are then calibrated to the prior
with torch.no_grad():
	ema.head.bias -= torch.log(cw)
say('trained', step, 'steps in %.0f s' % (time.time() - start))
torch.backends.cudnn.benchmark = False
torch.backends.cudnn.allow_tf32 = False
res = score(ema, prior) if held else []
os.makedirs(OUT, exist_ok=True)
tag = A['tag']
np.savez(os.path.join(OUT, tag + '.npz'), **{k: v.float().cpu().numpy() for k, v in ema.state_dict().items()})
json.dump(
	dict(OPENED, prior=prior.tolist(), steps=step, scenes=[meta[i]['name'] for i in train], results=res, summary=summary(res)),
	open(os.path.join(OUT, tag + '.json'), 'w'),
)
for k, v in summary(res).items():
	say(k, json.dumps(v))
