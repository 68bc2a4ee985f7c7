import type { ReactNode } from 'react';
import type { ProductAccount, RunAccount } from '@/lib/balance/runAccount';
import type { Component } from '@/lib/material/classes';
import type { Estimate } from '@/lib/quantity/quantity';
import { printEstimate } from '@/lib/report/format';
import { notKnown } from '@/lib/report/sentences';

/** A table that scrolls sideways inside its box, by touch and by keyboard. */
export function TableBox({ label, children }: { readonly label: string; readonly children: ReactNode }) {
  return (
    // biome-ignore lint/a11y/noNoninteractiveTabindex: the box scrolls, so the keyboard must reach it
    <section className="table-box" tabIndex={0} aria-label={label}>
      {children}
    </section>
  );
}

/** Best value with its range below it. */
function Cell({ estimate, per = 1 }: { readonly estimate: Estimate | undefined; readonly per?: number }) {
  if (estimate === undefined) return <td className="number soft">{notKnown}</td>;
  const { value, low, high } = printEstimate(estimate, per);
  if (estimate.belowDetectionLimit) {
    return (
      <td className="number">
        <span>under {high}</span>
        <span className="range">below detection</span>
      </td>
    );
  }
  return (
    <td className="number">
      {value}
      <span className="range">
        {low} to {high}
      </span>
    </td>
  );
}

/** Dry masses, measured and reconciled, and yields. */
export function MassTable({ account }: { readonly account: RunAccount }) {
  const { feed, products, together } = account;
  return (
    <TableBox label="Dry masses">
      <table>
        <caption>Dry masses</caption>
        <thead>
          <tr>
            <th scope="col">Product</th>
            <th scope="col" className="number">
              Measured, kg
            </th>
            <th scope="col" className="number">
              Reconciled, kg
            </th>
            <th scope="col" className="number">
              Yield, %
            </th>
          </tr>
        </thead>
        <tbody>
          {products.map((product) => (
            <tr key={product.id}>
              <th scope="row">{product.name}</th>
              <Cell estimate={product.dryMassKg.measured} />
              <Cell estimate={product.dryMassKg.reconciled} />
              <Cell estimate={product.yieldFraction} per={100} />
            </tr>
          ))}
          <tr>
            <th scope="row">All products</th>
            <td className="number soft" />
            <Cell estimate={together.all?.dryMassKg} />
            <Cell estimate={together.all?.yieldFraction} per={100} />
          </tr>
          <tr>
            <th scope="row">Feed</th>
            <Cell estimate={feed.dryMassKg.measured} />
            <Cell estimate={feed.dryMassKg.reconciled} />
            <td />
          </tr>
        </tbody>
      </table>
    </TableBox>
  );
}

/** One part (copper, for example) in every product: grade measured and reconciled, recovery, upgrade. */
export function GradeRows({
  account,
  component,
  name,
}: {
  readonly account: RunAccount;
  readonly component: Component;
  readonly name: string;
}) {
  const { feed, products, together } = account;
  return (
    <TableBox label={name}>
      <table>
        <caption>{name}</caption>
        <thead>
          <tr>
            <th scope="col">Product</th>
            <th scope="col" className="number">
              Grade measured, %
            </th>
            <th scope="col" className="number">
              Grade reconciled, %
            </th>
            <th scope="col" className="number">
              Recovery, %
            </th>
            <th scope="col" className="number">
              Upgrade ratio
            </th>
          </tr>
        </thead>
        <tbody>
          {products.map((product) => (
            <tr key={product.id}>
              <th scope="row">{product.name}</th>
              <Cell estimate={product.massFraction.measured[component]} per={100} />
              <Cell estimate={product.massFraction.reconciled[component]} per={100} />
              <RecoveryCell product={product} component={component} />
              <Cell estimate={product.upgradeRatio[component]} />
            </tr>
          ))}
          {together.concentrate === undefined ? null : (
            <tr>
              <th scope="row">Concentrates together</th>
              <td />
              <Cell estimate={together.concentrate.massFraction[component]} per={100} />
              <Cell estimate={together.concentrate.recovery[component]} per={100} />
              <Cell estimate={together.concentrate.upgradeRatio[component]} />
            </tr>
          )}
          <tr>
            <th scope="row">Feed{feed.gradeOrigin === 'back-calculated' ? ', worked out from the products' : ''}</th>
            <Cell estimate={feed.massFraction.measured[component]} per={100} />
            <Cell estimate={feed.massFraction.reconciled[component]} per={100} />
            <td />
            <td />
          </tr>
        </tbody>
      </table>
    </TableBox>
  );
}

/** A recovery, or its bounds where a product without a grade leaves it open. */
function RecoveryCell({ product, component }: { readonly product: ProductAccount; readonly component: Component }) {
  const bounds = product.recoveryBounds?.[component];
  const recovery = product.recovery[component];
  if (recovery !== undefined || bounds === undefined) return <Cell estimate={recovery} per={100} />;
  const { low, high } = printEstimate({ value: bounds.low, ...bounds }, 100);
  return (
    <td className="number">
      between
      <span className="range">
        {low} and {high}
      </span>
    </td>
  );
}
