import Link from 'next/link';
import { Fragment } from 'react';
import { KNOBS } from '@/app/_forms/runForm';
import { feedAddress } from '@/app/_forms/tableSteps';
import { printPercent, printPlain } from '@/lib/report/format';
import { feedSentence, weightSentence } from '@/lib/report/weightSentence';
import type { Run } from '@/lib/store/runs';

/** What a run was fed with and how the table was set. */
export function RunFacts({ run }: { readonly run: Run }) {
	const { settings, feed } = run;
	const knobs = KNOBS.flatMap(({ field, label, unit }) => {
		const value = settings[field];
		return value === undefined ? [] : [{ label, text: `${printPlain(value)} ${unit}` }];
	});
	return (
		<section>
			<h2>Feed and settings</h2>
			<dl className="figures">
				<dt>Feed</dt>
				<dd>
					{feedSentence(run)}{' '}
					{feed.weighing === undefined ? <Link href={`${feedAddress(run.id)}?then=run`}>Weigh the feed</Link> : null}
				</dd>
				{feed.grade?.copper === undefined ? null : (
					<>
						<dt>Copper in the feed</dt>
						<dd>
							{printPercent(feed.grade.copper.value, 1)}, known to {printPercent(feed.grade.copper.u, 1)} (one standard
							uncertainty)
						</dd>
					</>
				)}
				{feed.loss === undefined ? null : (
					<>
						<dt>Stated loss</dt>
						<dd>{weightSentence(feed.loss, { runId: run.name, key: 'loss', scales: feed.scales })}</dd>
					</>
				)}
				{knobs.map(({ label, text }) => (
					<Fragment key={label}>
						<dt>{label}</dt>
						<dd>{text}</dd>
					</Fragment>
				))}
				{(settings.wettingAgent ?? '') === '' ? null : (
					<>
						<dt>Wetting agent</dt>
						<dd>
							{settings.wettingAgent}
							{settings.wettingAgentDoseMlPerL === undefined
								? ''
								: `, ${printPlain(settings.wettingAgentDoseMlPerL)} mL per L`}
						</dd>
					</>
				)}
				<dt>Film on the deck</dt>
				<dd>{settings.filmOnDeck === undefined ? 'not noted' : settings.filmOnDeck ? 'yes' : 'no'}</dd>
				<dt>Photos are read with</dt>
				<dd>{run.material}</dd>
				{run.notes === '' ? null : (
					<>
						<dt>Notes</dt>
						<dd>{run.notes}</dd>
					</>
				)}
			</dl>
		</section>
	);
}
