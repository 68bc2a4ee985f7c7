"""Writes the trained network for TensorFlow.js (layers format, weights as float16): export.py WEIGHTS.npz RESULT.json OUT REFERENCE PICTURE
Batch normalisation is folded into the convolutions. OUT gets model.json, weights.planes.br (all high bytes of the words of weights.bin, then all low ones) and checksum
(SHA-256 of model.json and weights.bin);
REFERENCE gets a small fixed picture and what PyTorch makes of it, so that other code can be held to it.
PICTURE is a packed scene's folder and name, PACK/NAME."""

import sys, os, json, hashlib
import brotli, numpy as np, torch
from PIL import Image
from network import Net, cost

weights, result, OUT, REF, picture = sys.argv[1:6]
# Called class = argmax of probability x callWeights, callWeights = prior ** -0.6. The exponent is from the held-out scenes of
# cross-validation: the smallest at which whole mats reach a balanced accuracy of 0.70 with blanks still under 0.3 % copper.
CALL_EXPONENT = 0.6
# Significant bits that weights keep, of the eleven that float16 has: each less makes the file 61 kB smaller.
BITS = 10
Z = np.load(weights)
J = json.load(open(result))
A = J['args']
net = Net(tuple(int(x) for x in A['widths'].split(',')), A['feats'], again=A.get('again', 0)).eval()
net.load_state_dict({k: torch.from_numpy(Z[k]) for k in Z.files})
layers, specs, blobs = [], [], []
at = lambda i: [*i, 0, {}] if isinstance(i, tuple) else [i, 0, 0, {}]  # a layer's answer, or (layer, its how-many-eth answer)


def layer(cls, name, config, inputs):
	layers.append(
		dict(
			class_name=cls,
			name=name,
			config=dict(name=name, trainable=False, **config),
			inbound_nodes=[[at(i) for i in inputs]] if inputs else [],
		)
	)
	return name


def half(t):
	"""float16 of so many significant bits"""
	part, power = np.frexp(t.numpy())
	return np.ldexp(np.round(np.ldexp(part, BITS)), power - BITS).astype(np.float16)


def conv(mod, name, x, act):
	c = mod if isinstance(mod, torch.nn.Conv2d) else mod.conv
	W = c.weight.detach().double()
	if c is mod:
		b = c.bias.detach().double()
	else:
		g = mod.bn.weight.detach().double() / torch.sqrt(mod.bn.running_var.double() + mod.bn.eps)
		b = mod.bn.bias.detach().double() - mod.bn.running_mean.double() * g
		W = W * g[:, None, None, None]
	k = W.shape[2]
	for part, arr in (('kernel', half(W.permute(2, 3, 1, 0))), ('bias', half(b))):
		specs.append(
			dict(
				name=f'{name}/{part}', shape=list(arr.shape), dtype='float32', quantization=dict(dtype='float16', original_dtype='float32')
			)
		)
		blobs.append(np.ascontiguousarray(arr).tobytes())
	s = 2 if k == 2 else 1
	return layer(
		'Conv2D',
		name,
		dict(
			filters=W.shape[0],
			kernel_size=[k, k],
			strides=[s, s],
			padding='valid' if k == 2 else 'same',
			data_format='channels_last',
			dilation_rate=[1, 1],
			activation=act,
			use_bias=True,
		),
		[x],
	)


n = net
up = lambda name, x: layer('UpSampling2D', name, dict(size=[2, 2], data_format='channels_last', interpolation='nearest'), [x])
plus = lambda name, a, b: layer('Activation', name, dict(activation='relu'), [layer('Add', name + '_sum', {}, [a, b])])
x = layer('InputLayer', 'picture', dict(batch_input_shape=[None, None, None, 3], dtype='float32', sparse=False), [])
x0 = conv(n.e0b, 'e0b', conv(n.e0a, 'e0a', x, 'relu'), 'relu')
t = conv(n.d1, 'd1', x0, 'relu')
x1 = plus('x1', t, conv(n.e1b, 'e1b', conv(n.e1a, 'e1a', t, 'relu'), 'linear'))
x2 = conv(n.e2a, 'e2a', conv(n.d2, 'd2', x1, 'relu'), 'relu')
t = conv(n.d3, 'd3', x2, 'relu')
x3 = plus('x3', t, conv(n.e3b, 'e3b', conv(n.e3a, 'e3a', t, 'relu'), 'linear'))
for k in range(1, n.again + 1):  # the same two layers once more
	for name, x in (('e3a', x3), ('e3b', ('e3a', k))):
		next(l for l in layers if l['name'] == name)['inbound_nodes'].append([at(x)])
	x3 = plus('x%d' % (k + 3), x3, ('e3b', k))
y = conv(n.f2, 'f2', plus('y2', up('u2_up', conv(n.u2, 'u2', x3, 'linear')), conv(n.j2, 'j2', x2, 'linear')), 'relu')
t = plus('y1', up('u1_up', conv(n.u1, 'u1', y, 'linear')), conv(n.j1, 'j1', x1, 'linear'))
y = plus('y1b', t, conv(n.f1b, 'f1b', conv(n.f1a, 'f1a', t, 'relu'), 'linear'))
y = layer('Concatenate', 'y0', dict(axis=-1), [up('u0_up', conv(n.u0, 'u0', y, 'linear')), x0])
y = conv(n.f0b, 'features', conv(n.f0a, 'f0a', y, 'relu'), 'relu')
y = conv(n.head, 'classes', y, 'softmax')
params, macs = cost(net)
about = dict(
	classes=['background', 'copper', 'tinned', 'aluminium', 'insulation', 'other'],
	scalePxPerMm=A['scale'],
	prior=[round(p, 5) for p in J['prior']],
	callWeights=[round((J['prior'][0] / p) ** CALL_EXPONENT, 4) for p in J['prior']],
	parameters=params,
	multiplyAddsPerPixel=round(macs),
	deepRounds=n.again + 1,
	input='clip(srgbEncode(max(0, reflectance)), 0, 1.2) - 0.5',
)
model = dict(
	format='layers-model',
	generatedBy='models/export.py',
	convertedBy=None,
	userDefinedMetadata=about,
	modelTopology=dict(
		keras_version='tfjs-layers 4.22.0',
		backend='tensor_flow.js',
		model_config=dict(
			class_name='Functional',
			config=dict(name='pixels', layers=layers, input_layers=[['picture', 0, 0]], output_layers=[['classes', 0, 0]]),
		),
	),
	weightsManifest=[dict(paths=['weights.bin'], weights=specs)],
)
os.makedirs(OUT, exist_ok=True)
os.makedirs(REF, exist_ok=True)
json.dump(model, open(os.path.join(OUT, 'model.json'), 'w'), separators=(',', ':'))
weights = b''.join(blobs)
planes = np.frombuffer(weights, np.uint8).reshape(-1, 2)[:, ::-1].T.tobytes()
open(os.path.join(OUT, 'weights.planes.br'), 'wb').write(brotli.compress(planes, lgwin=24))
with open(os.path.join(OUT, 'checksum'), 'w') as f:
	for p, data in (('model.json', open(os.path.join(OUT, 'model.json'), 'rb').read()), ('weights.bin', weights)):
		f.write(hashlib.sha256(data).hexdigest() + '  ' + p + '\n')

# the fixed picture: 96 x 64 pixels at the working scale, cut from a rendered scene
pack, name = os.path.split(picture)
s = [m for m in json.load(open(os.path.join(pack, 'meta.json'))) if m['name'] == name][0]
im = Image.open(os.path.join(pack, name + '.webp')).convert('RGB')
k = A['scale'] / s['pxPerMm']
im = im.resize((round(im.width * k), round(im.height * k)), Image.BOX if k < 1 else Image.BILINEAR)
codes = np.asarray(im.crop((im.width // 2 - 48, im.height // 2 - 32, im.width // 2 + 48, im.height // 2 + 32)))
v = codes.astype(np.float32) / 255
r = (np.where(v <= 0.04045, v / 12.92, ((v + 0.055) / 1.055) ** 2.4) * np.array(s['gains'])).astype('<f4')
e = np.clip(np.where(r <= 0.0031308, 12.92 * r, 1.055 * np.maximum(r, 0.0031308) ** (1 / 2.4) - 0.055), 0, 1.2) - 0.5
with torch.no_grad():
	p = torch.softmax(net(torch.from_numpy(e.astype(np.float32)).permute(2, 0, 1)[None]), 1)[0].permute(1, 2, 0).numpy().astype('<f4')
Image.fromarray(codes).save(os.path.join(REF, 'picture.webp'), lossless=True, quality=100, method=6)
np.round(p[::8] * 65535).astype('<u2').tofile(os.path.join(REF, 'probabilities.u16'))
json.dump(
	dict(
		scene=name,
		input='picture.webp: sRGB codes; reflectance is their linear light times the gains',
		gains=s['gains'],
		output='probabilities.u16: every eighth row from the first, 8 x 96 x 6, in 65535ths, little-endian',
		trainer='PyTorch ' + J['torch'] + ' weights, float32',
	),
	open(os.path.join(REF, 'reference.json'), 'w'),
	indent=1,
)
print(
	'parameters',
	params,
	'multiply-adds per pixel',
	round(macs),
	'bytes',
	sum(map(len, blobs)),
	'argmax shares',
	np.bincount(p.argmax(2).ravel(), minlength=6) / p[..., 0].size,
)
