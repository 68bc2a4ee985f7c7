import { GRADED } from '@/lib/material/classes';
import { gradeMeaning } from '@/lib/report/meanings';
import { GRADED_NAMES, gradeSentences } from '@/lib/report/sentences';
import type { WorkedRun } from '@/lib/store/analysis';
import { ShareTable } from './ShareTable';

/** A product's grade from all its spreads together. */
export async function ProductGrade({ label, worked }: { readonly label: string; readonly worked: Promise<WorkedRun> }) {
  const { grades } = await worked;
  const grade = grades[label];
  if (grade === undefined) return <p>Not known yet: photograph at least one spread.</p>;
  return (
    <>
      <p className="lead">{gradeSentences(grade.massFraction).join(' ')}</p>
      <ShareTable
        caption="Shares of the dry mass, all spreads together"
        lines={GRADED.map((name) => ({
          name: GRADED_NAMES[name],
          share: grade.massFraction[name],
          beside: grade.densityOnlyMassFraction[name],
          meaning: gradeMeaning(name),
        }))}
        besideHead="If all pieces were equally thick"
      />
      <p className="hint narrow">
        &ldquo;If all pieces were equally thick&rdquo; weighs areas by density alone. It shows what reading widths does
        to the figure; do not use it.
      </p>
    </>
  );
}
