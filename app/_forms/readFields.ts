import { toldOf } from '@/lib/errors/TrayError';
import { readNumber } from '@/lib/quantity/parseNumber';
import { printPlain } from '@/lib/report/format';
import type { Problem } from './formState';

type Typed = Readonly<Record<string, string>>;

/**
 * Reads the fields of one form and gathers every problem, so that a person mends them in one go.
 *
 * Each reader returns a value that must not be used while `problems` is not empty.
 */
export class FieldReader {
	readonly problems: Problem[] = [];
	constructor(private readonly typed: Typed) {}

	problem(field: string, message: string): void {
		this.problems.push({ field, message });
	}

	has(field: string): boolean {
		return (this.typed[field] ?? '').trim() !== '';
	}

	text(field: string, longest = 200): string {
		const text = (this.typed[field] ?? '').trim();
		if (text.length > longest) this.problem(field, `Shorten this to ${longest} characters; it has ${text.length}.`);
		return text;
	}

	/** @param message - what to do when nothing was typed, for example `Enter a name for the lot` */
	needed(field: string, message: string, longest = 80): string {
		const text = this.text(field, longest);
		if (text === '') this.problem(field, message);
		return text;
	}

	choice<const Choice extends string>(field: string, choices: readonly Choice[], message: string): Choice {
		const picked = choices.find((choice) => choice === this.typed[field]);
		if (picked === undefined) this.problem(field, message);
		return picked ?? (choices[0] as Choice); // unused when there is a problem
	}

	/** A number in its limits, or undefined when the field is empty. `what` begins the sentence: `The stroke length`. */
	number(field: string, what: string, limits: { least: number; most: number; unit: string }): number | undefined {
		if (!this.has(field)) return undefined;
		try {
			const number = readNumber(this.typed[field] ?? '', what, [limits.unit]);
			if (number >= limits.least && number <= limits.most) return number;
			const [least, most] = [limits.least, limits.most].map((limit) => printPlain(limit));
			this.problem(
				field,
				`${what} must lie between ${least} and ${`${most} ${limits.unit}`.trim()}. Check the number.`,
			);
		} catch (cause) {
			this.caught(field, cause);
		}
		return undefined;
	}

	/** Turn a refusal of lib into a problem at a field. */
	caught(field: string, cause: unknown): void {
		this.problem(field, toldOf(cause));
	}
}
