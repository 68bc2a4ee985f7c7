/**
 * Half the width of a 95 % interval, standard deviations of a normal error.
 *
 * @source JCGM 100:2008, table G.1; its digits are the normal distribution's 0.975 quantile
 */
export const COVERAGE_FACTOR = 1.959963984540054;

/**
 * Standard deviations above which a normal error lies 5 times in 100: one end of an interval that is open on the other side.
 *
 * @source Currie, Anal. Chem. 40 (1968) 586 (critical level at 5 % false alarms)
 */
export const ONE_SIDED_FACTOR = 1.6448536269514722;
