"""The network: a compact encoder-decoder with skips. Input 3 channels (encoded reflectance), output 6 logits per pixel.
Every layer has a TensorFlow.js twin: 'same' 3x3 convolutions, 2x2 convolutions of stride 2 (no padding), 1x1 convolutions,
nearest-neighbour doubling, sums and joins. Batch normalisation stands after each convolution and is folded on export."""

import torch, torch.nn as nn, torch.nn.functional as F


class Conv(nn.Module):
	def __init__(s, a, b, k=3, relu=True):
		super().__init__()
		s.conv = nn.Conv2d(a, b, k, stride=2 if k == 2 else 1, padding=1 if k == 3 else 0, bias=False)
		s.bn = nn.BatchNorm2d(b, eps=1e-3)
		s.relu = relu

	def forward(s, x):
		x = s.bn(s.conv(x))
		return F.relu(x) if s.relu else x


class Net(nn.Module):
	"""w: widths at full, half, quarter and eighth scale; again: how often the pair of layers at an eighth is gone through once more, with the same weights"""

	def __init__(s, w=(16, 48, 80, 80), feats=24, classes=6, again=0):
		super().__init__()
		a, b, c, d = w
		s.again = again
		s.e0a = Conv(3, a)
		s.e0b = Conv(a, a)
		s.d1 = Conv(a, b, 2)
		s.e1a = Conv(b, b)
		s.e1b = Conv(b, b, relu=False)
		s.d2 = Conv(b, c, 2)
		s.e2a = Conv(c, c)
		s.d3 = Conv(c, d, 2)
		s.e3a = Conv(d, d)
		s.e3b = Conv(d, d, relu=False)
		s.u2 = Conv(d, c, 1, relu=False)
		s.j2 = Conv(c, c, 1, relu=False)
		s.f2 = Conv(c, c)
		s.u1 = Conv(c, b, 1, relu=False)
		s.j1 = Conv(b, b, 1, relu=False)
		s.f1a = Conv(b, b)
		s.f1b = Conv(b, b, relu=False)
		s.u0 = Conv(b, a, 1, relu=False)
		s.f0a = Conv(2 * a, feats)
		s.f0b = Conv(feats, feats)
		s.head = nn.Conv2d(feats, classes, 1)

	def forward(s, x):
		x0 = s.e0b(s.e0a(x))
		t = s.d1(x0)
		x1 = F.relu(t + s.e1b(s.e1a(t)))
		x2 = s.e2a(s.d2(x1))
		t = s.d3(x2)
		x3 = F.relu(t + s.e3b(s.e3a(t)))
		for _ in range(s.again):
			x3 = F.relu(x3 + s.e3b(s.e3a(x3)))
		y = s.f2(F.relu(F.interpolate(s.u2(x3), scale_factor=2, mode='nearest') + s.j2(x2)))
		t = F.relu(F.interpolate(s.u1(y), scale_factor=2, mode='nearest') + s.j1(x1))
		y = F.relu(t + s.f1b(s.f1a(t)))
		y = s.f0b(s.f0a(torch.cat([F.interpolate(s.u0(y), scale_factor=2, mode='nearest'), x0], 1)))
		return s.head(y)


def cost(net):
	"""(parameters, multiply-adds per input pixel) after folding"""
	from collections import OrderedDict

	got = []
	hs = [
		m.register_forward_hook(lambda m, i, o: got.append(m.weight.numel() * o.shape[2] * o.shape[3]))
		for m in net.modules()
		if isinstance(m, nn.Conv2d)
	]
	dev = next(net.parameters()).device
	mode = net.training
	net.eval()
	with torch.no_grad():
		net(torch.zeros(1, 3, 64, 64, device=dev))
	net.train(mode)
	[h.remove() for h in hs]
	p = sum(m.weight.numel() + m.weight.shape[0] for m in net.modules() if isinstance(m, nn.Conv2d))
	return p, sum(got) / 64 / 64
