/**
 * The mark of a page that awaits a result: another one as soon as that is there.
 *
 * @param mark - of the run's state as it stands otherwise
 */
export function awaitingMark(mark: string, isOver: boolean): string {
	return `${mark}${isOver ? '+' : '-'}`;
}
