import { type RecordSheet, scaleBarMm } from '@/lib/report/recordSheet';
import { ClassKey } from './ClassKey';
import { CodeToScan } from './CodeToScan';
import { IntervalPlot } from './IntervalPlot';

/** A record as its page shows and prints it. */
export function RecordSheetView({ sheet, address }: { readonly sheet: RecordSheet; readonly address: string }) {
	return (
		<article className="record">
			<header className="record-head">
				<div>
					<h1>
						{sheet.title} {sheet.number}
					</h1>
					<p>{sheet.lead}</p>
				</div>
				<figure className="record-code">
					<CodeToScan text={sheet.seal.qrText} label="Number, checksum and key of this record" />
					<figcaption>{sheet.seal.code}</figcaption>
				</figure>
			</header>
			{sheet.notices.map((notice) => (
				<div className="caution" key={notice}>
					<p>
						<strong>{notice}</strong>
					</p>
				</div>
			))}
			<dl className="figures">
				{sheet.facts.map(({ name, text }) => (
					<div key={name}>
						<dt>{name}</dt>
						<dd>{text}</dd>
					</div>
				))}
			</dl>
			<Composition sheet={sheet} />
			<Pictures sheet={sheet} address={address} />
			<Standings sheet={sheet} />
			<Lines title="Method" lines={sheet.method} />
			<Lines title="Checks by hand" lines={sheet.checks} />
			<Lines title="Corrections by hand" lines={sheet.corrections} />
			<Lines title="Warnings" lines={sheet.warnings} />
			<Lines title="Cautions" lines={[sheet.notLookedFor, ...sheet.cautions]} />
			<Lines title="Seal" lines={[...sheet.seal.lines, `End of record ${sheet.number}.`]} />
		</article>
	);
}

function Composition({ sheet }: { readonly sheet: RecordSheet }) {
	return (
		<section>
			<h2>Composition</h2>
			<table className="stack">
				<caption>Shares of the dry mass. {sheet.coverage}</caption>
				<thead>
					<tr>
						<th scope="col">Part</th>
						<th scope="col">Share (range)</th>
						<th scope="col">0 to 100 %</th>
						<th scope="col">Standard uncertainty, points</th>
					</tr>
				</thead>
				<tbody>
					{sheet.composition.map(({ key, name, share, u, estimate }) => (
						<tr key={key}>
							<th scope="row">{name}</th>
							<td className="wide">{share}</td>
							<td className="wide">
								<IntervalPlot share={estimate} label={name} />
							</td>
							<td data-head="Standard uncertainty, points">{u}</td>
						</tr>
					))}
				</tbody>
			</table>
		</section>
	);
}

function Pictures({ sheet, address }: { readonly sheet: RecordSheet; readonly address: string }) {
	if (sheet.pictures.length === 0) return null;
	return (
		<section className="record-pictures">
			<h2>Pictures</h2>
			{sheet.pictures.map((picture) => (
				<div className={`picture-pair ${picture.kind}`} key={picture.photoSha256}>
					<Picture picture={picture} address={address} isOutlined={false} />
					<Picture picture={picture} address={address} isOutlined />
				</div>
			))}
			<ClassKey />
		</section>
	);
}

/** Width of the drawing laid over a picture, in its own units. */
const OVERLAY = 1000;

function Picture({
	picture,
	address,
	isOutlined,
}: {
	readonly picture: RecordSheet['pictures'][number];
	readonly address: string;
	readonly isOutlined: boolean;
}) {
	const { caption, widthMm, heightMm, letters, photoSha256, outlinedSha256 } = picture;
	const height = (OVERLAY * heightMm) / widthMm;
	const barMm = scaleBarMm(widthMm);
	const bar = (OVERLAY * barMm) / widthMm;
	const what = isOutlined ? 'what the program saw' : 'photo';
	return (
		<figure>
			<div className="record-picture">
				<img src={`${address}/${isOutlined ? outlinedSha256 : photoSha256}.jpg`} alt={`${caption}: ${what}`} />
				<svg className="record-overlay" viewBox={`0 0 ${OVERLAY} ${height}`} aria-hidden="true">
					{isOutlined
						? letters.map(({ letter, x, y }) => (
								<text key={`${x} ${y}`} x={x * OVERLAY} y={y * height} dy="0.35em">
									{letter}
								</text>
							))
						: null}
					<rect className="scale-ground" x="10" y={height - 62} width={bar + 20} height="54" />
					<rect x="20" y={height - 56} width={bar} height="8" />
					<text className="scale-words" x="20" y={height - 18}>
						{barMm} mm
					</text>
				</svg>
			</div>
			<figcaption>
				{caption}: {what}.
			</figcaption>
		</figure>
	);
}

function Standings({ sheet }: { readonly sheet: RecordSheet }) {
	if (sheet.standings.length === 0) return null;
	return (
		<section>
			<h2>Against the limits</h2>
			<p>{sheet.rule}</p>
			{sheet.standings.map(({ title, lines, notes }) => (
				<div key={title} className="record-standing">
					{lines.length === 0 ? (
						<h3>{title}</h3>
					) : (
						<table className="stack">
							<caption>{title}</caption>
							<thead>
								<tr>
									<th scope="col">Limit</th>
									<th scope="col">Measured (range)</th>
									<th scope="col">Chance to meet it</th>
									<th scope="col">Verdict</th>
								</tr>
							</thead>
							<tbody>
								{lines.map(({ limit, measured, chance, mark, verdict }) => (
									<tr key={limit}>
										<th scope="row">{limit}</th>
										<td className="words" data-head="Measured (range)">
											{measured}
										</td>
										<td data-head="Chance to meet it">{chance}</td>
										<td className="wide">
											<strong>
												<span aria-hidden="true">{mark}</span> {verdict}
											</strong>
										</td>
									</tr>
								))}
							</tbody>
						</table>
					)}
					{notes.map((note) => (
						<p key={note}>{note}</p>
					))}
				</div>
			))}
		</section>
	);
}

function Lines({ title, lines }: { readonly title: string; readonly lines: readonly string[] }) {
	return (
		<section className="record-lines">
			<h2>{title}</h2>
			<ul>
				{lines.map((line) => (
					<li key={line}>{line}</li>
				))}
			</ul>
		</section>
	);
}
