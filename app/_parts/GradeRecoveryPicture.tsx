import { scaleLinear } from 'd3-scale';
import { printPercent } from '@/lib/report/format';
import type { GradeRecoveryPlot, PlotPoint } from '@/lib/report/gradeRecoveryPlot';

const [WIDTH, HEIGHT, LEFT, RIGHT, TOP, BOTTOM] = [360, 300, 48, 26, 14, 42] as const;

/** Line styles tell runs apart without colour; the number stands at each run's point. */
const DASHES = ['', '7 3', '2 2', '8 3 2 3', '1 3'] as const;

/** Recovery of copper against its grade: a numbered point and a 95 % region for each run, its products as a line. */
export function GradeRecoveryPicture({ plot }: { readonly plot: GradeRecoveryPlot }) {
  const x = scaleLinear([...plot.gradeRange], [LEFT, WIDTH - RIGHT]);
  const y = scaleLinear([...plot.recoveryRange], [HEIGHT - BOTTOM, TOP]);
  const path = (points: readonly PlotPoint[], end = '') =>
    points
      .map(({ grade, recovery }, i) => `${i === 0 ? 'M' : 'L'}${x(grade).toFixed(1)} ${y(recovery).toFixed(1)}`)
      .join('') + end;
  return (
    <>
      <svg
        className="run-plot"
        viewBox={`0 0 ${WIDTH} ${HEIGHT}`}
        role="img"
        aria-label="Copper recovery against copper grade of the runs; the numbers are in the table above"
      >
        <clipPath id="plot-field">
          <rect x={LEFT} y={TOP} width={WIDTH - LEFT - RIGHT} height={HEIGHT - TOP - BOTTOM} />
        </clipPath>
        <rect className="frame" x={LEFT} y={TOP} width={WIDTH - LEFT - RIGHT} height={HEIGHT - TOP - BOTTOM} />
        {x.ticks(4).map((tick) => (
          <text key={tick} x={x(tick)} y={HEIGHT - BOTTOM + 16} textAnchor="middle">
            {printPercent(tick, decimalsOf(plot.gradeRange))}
          </text>
        ))}
        {y.ticks(5).map((tick) => (
          <text key={tick} x={LEFT - 5} y={y(tick) + 4} textAnchor="end">
            {printPercent(tick, decimalsOf(plot.recoveryRange))}
          </text>
        ))}
        <text x={(LEFT + WIDTH - RIGHT) / 2} y={HEIGHT - 6} textAnchor="middle" className="strong">
          Copper grade
        </text>
        <text x={LEFT + 6} y={TOP + 16} className="strong">
          Copper recovery
        </text>
        <g clipPath="url(#plot-field)">
          {plot.equalValue.map(({ run, points }) => (
            <path key={run} className="equal-value" d={path(points)} />
          ))}
          {plot.runs.map(({ name, ellipse, together }, k) => (
            <g key={name}>
              <path className="region" d={path(ellipse, 'Z')} strokeDasharray={DASHES[k % DASHES.length]} />
              <path className="products" d={path(together)} strokeDasharray={DASHES[k % DASHES.length]} />
              {together.map((point) => (
                <circle key={point.name} className="product" cx={x(point.grade)} cy={y(point.recovery)} r="2.5" />
              ))}
            </g>
          ))}
        </g>
        {plot.runs.map(({ name, grade, recovery }, k) => (
          <g key={name}>
            <circle className="best" cx={x(grade.value)} cy={y(recovery.value)} r="4" />
            <text
              className="strong"
              x={x(grade.value) - 15 * Math.cos(k * 1.1)}
              y={y(recovery.value) + 5 - 15 * Math.sin(k * 1.1)}
              textAnchor="middle"
            >
              {k + 1}
            </text>
          </g>
        ))}
      </svg>
      <ol>
        {plot.runs.map(({ name }) => (
          <li key={name}>{name}</li>
        ))}
      </ol>
      <p className="hint narrow">
        Numbers stand at each run&rsquo;s concentrates taken together; the outline around a number holds the true place
        95 times in 100. Small dots are the run&rsquo;s products poured together one after the other, richest first.
        {plot.equalValue.length === 0
          ? ' Enter prices to see lines of equal value.'
          : ' Along a dotted line a run would bring the same money at the prices on record, penalties left out.'}
      </p>
    </>
  );
}

function decimalsOf([low, high]: readonly [number, number]): number {
  return high - low < 0.04 ? 1 : 0;
}
