'use client';

import { type DragEvent, type FormEvent, useRef, useState } from 'react';
import { z } from 'zod';

const answerSchema = z.union([
	z.object({ findings: z.array(z.object({ isGood: z.boolean(), words: z.string() })) }),
	z.object({ message: z.string(), hint: z.string() }),
]);
type Answer = z.infer<typeof answerSchema>;

/** Takes a record's data file and photos, by choosing or dropping, and says what matches. */
export function CheckRecord() {
	const files = useRef<HTMLInputElement>(null);
	const [answer, setAnswer] = useState<Answer | 'waiting' | undefined>(undefined);

	async function send(event: FormEvent<HTMLFormElement>) {
		event.preventDefault();
		const body = new FormData(event.currentTarget);
		setAnswer('waiting');
		setAnswer(await ask(body));
	}

	function drop(event: DragEvent) {
		event.preventDefault();
		if (files.current === null || event.dataTransfer.files.length === 0) return;
		files.current.files = event.dataTransfer.files;
		files.current.form?.requestSubmit();
	}

	return (
		<>
			<form className="entry-form" onSubmit={send} onDragOver={(event) => event.preventDefault()} onDrop={drop}>
				<div className="field">
					<label htmlFor="field-files">Data file and photos</label>
					<input id="field-files" ref={files} name="files" type="file" multiple required accept=".json,image/*" />
				</div>
				<div className="form-end">
					<button type="submit" className="button main" disabled={answer === 'waiting'}>
						Check
					</button>
				</div>
			</form>
			<div role="status">{answer === undefined ? null : <Shown answer={answer} />}</div>
		</>
	);
}

async function ask(body: FormData): Promise<Answer> {
	try {
		const reply = await fetch('/api/verify', { method: 'POST', body });
		return answerSchema.parse(await reply.json());
	} catch {
		return { message: 'Deckside did not answer.', hint: 'Check the connection and try again.' };
	}
}

function Shown({ answer }: { readonly answer: Answer | 'waiting' }) {
	if (answer === 'waiting') return <p>Checking …</p>;
	if ('message' in answer) {
		return (
			<div className="caution">
				<p>
					{answer.message} {answer.hint}
				</p>
			</div>
		);
	}
	return (
		<ul className="findings">
			{answer.findings.map(({ isGood, words }) => (
				<li key={words} className={isGood ? 'good' : 'bad'}>
					<span aria-hidden="true">{isGood ? '●' : '■'}</span> {words}
				</li>
			))}
		</ul>
	);
}
