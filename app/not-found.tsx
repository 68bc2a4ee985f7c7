import Link from 'next/link';

/** An address that leads to nothing. */
export default function NotFound() {
  return (
    <>
      <h1>Nothing stands here</h1>
      <p>This address does not lead to anything. It may have been removed.</p>
      <p>
        <Link href="/runs">Go to the runs</Link>
      </p>
    </>
  );
}
