import type { Metadata } from 'next';
import { headers } from 'next/headers';
import { forgetThisDevice, leave, nameDevice, newCode } from '@/app/_actions/deviceActions';
import { addressesNow, lanAddresses } from '@/app/_http/lan';
import { deviceAsking, seatOf } from '@/app/_http/seat';
import { ActionButton } from '@/app/_parts/ActionButton';
import { CodeToScan } from '@/app/_parts/CodeToScan';
import { EntryForm } from '@/app/_parts/EntryForm';
import { TextField } from '@/app/_parts/Fields';
import { FreshDevices } from '@/app/_parts/FreshDevices';
import { listedAs, Pages } from '@/app/_parts/Pages';
import { printMoment } from '@/lib/report/printMoment';
import { accessCode } from '@/lib/store/accessCode';
import { type Device, devicesMark, JOINED_DAYS, LONGEST_DEVICE_NAME, listDevices } from '@/lib/store/devices';
import { ownYard } from '@/lib/store/ownYard';
import { theStore } from '@/lib/store/theStore';

export const metadata: Metadata = { title: 'Phones' };

/** How phones join, and which have joined. */
export default async function Devices({ searchParams }: PageProps<'/devices'>) {
	const asking = await headers();
	const seat = seatOf(asking);
	const own = deviceAsking(asking);
	const isShared = ownYard() === undefined;
	if (seat.kind !== 'own') return <OnAPhone isShared={isShared} />;
	const { store } = await theStore();
	// taken first, so that who joins while the rest is looked up is a change that the page hears of
	const mark = await devicesMark(store);
	const { lines: devices, ...pages } = await listedAs(await searchParams, (part) =>
		listDevices(store, undefined, part),
	);
	return (
		<>
			<h1>Phones</h1>
			{isShared ? <JoinByYardCode /> : <JoinByShownCode addresses={addressesNow()} />}
			<section>
				<h2>Joined</h2>
				<FreshDevices mark={mark} />
				{devices.length === 0 && pages.page === 1 ? (
					<p>No phone has joined yet.</p>
				) : (
					<ul className="lines">
						{devices.map((device) => (
							<li key={device.id}>
								<JoinedDevice device={device} isThis={device.id === own} />
							</li>
						))}
					</ul>
				)}
				<Pages {...pages} at="/devices?" what="phones" />
				<p className="hint narrow">
					A joined phone can see and change everything, but it cannot let others join. It stays joined for {JOINED_DAYS}{' '}
					days, or until it is forgotten here: then it is out at once.
				</p>
			</section>
		</>
	);
}

function JoinByYardCode() {
	return (
		<section className="narrow">
			<p>
				Devices join on the page <span className="address">/join</span> with the code of this yard. Whoever runs
				Deckside makes it, and a new one when it may be in other hands.
			</p>
		</section>
	);
}

function JoinByShownCode({ addresses }: { readonly addresses: readonly string[] }) {
	const [first, ...others] = addresses;
	if (first === undefined) return lanAddresses().length === 0 ? <NotListening /> : <AddressGone />;
	const code = accessCode();
	return (
		<section className="join-here">
			<div>
				<CodeToScan text={`${first}/join#${code}`} label="Code to scan with a phone" />
			</div>
			<div>
				<ol>
					<li>Connect the phone to the same Wi-Fi as this laptop.</li>
					<li>Point its camera at the square and open the address it offers.</li>
					<li>The phone has joined. Pictures taken with it land in the run that is open on it.</li>
				</ol>
				<p>
					Or open <span className="address">{first}/join</span> on the phone and type this code:
				</p>
				<p className="access-code">{code}</p>
				{others.map((address) => (
					<details key={address}>
						<summary>If that does not answer: {address}/join</summary>
						<CodeToScan text={`${address}/join#${code}`} label={`Code to scan, ${address}`} />
					</details>
				))}
				<p className="hint">
					Whoever has the code can join. It holds until Deckside is stopped. What phones send is not encrypted on its
					way: use a Wi-Fi with a password, whose users you trust.
				</p>
				<ActionButton action={newCode} className="button quiet small">
					Make a new code
				</ActionButton>
			</div>
		</section>
	);
}

function AddressGone() {
	return (
		<section className="narrow caution">
			<p>
				This laptop has another address on its network than when Deckside was started ({lanAddresses().join(', ')}), so
				no phone can reach it. Stop Deckside and start it again; phones then join anew. Photos that still wait on a
				phone are sent once the laptop has the old address again: the Wi-Fi&rsquo;s router can be set to give it always
				the same one.
			</p>
		</section>
	);
}

function NotListening() {
	return (
		<section className="narrow">
			<p>Only this machine can reach Deckside now. To let phones on the same Wi-Fi join, stop it and start it with</p>
			<p>
				<code>npm start -- --lan</code>
			</p>
			<p>Then this page shows a code to scan. Nothing can be reached without it.</p>
		</section>
	);
}

function JoinedDevice({ device, isThis }: { readonly device: Device; readonly isThis: boolean }) {
	return (
		<div className="device">
			<p>
				<strong>{device.name}</strong>
				<span className="soft">
					{device.isOffice ? ', the office' : ''}, joined {printMoment(device.joinedAt)}, last seen{' '}
					{printMoment(device.seenAt)}
					{isThis ? '; this device' : ''}
				</span>
			</p>
			<div className="device-acts">
				<details>
					<summary>Rename</summary>
					<EntryForm action={nameDevice} submit="Save name">
						<input type="hidden" name="id" value={device.id} />
						<TextField name="name" label="Name of the device" initial={device.name} longest={LONGEST_DEVICE_NAME} />
					</EntryForm>
				</details>
				<ActionButton
					action={forgetThisDevice}
					id={device.id}
					className="button quiet small"
					label={`Forget this device: ${device.name}`}
				>
					Forget this device
				</ActionButton>
			</div>
		</div>
	);
}

function OnAPhone({ isShared }: { readonly isShared: boolean }) {
	return (
		<>
			<h1>Phones</h1>
			<p>
				{isShared
					? 'This device has joined. Others join on the page /join with the code of the yard.'
					: 'This device has joined. Others join at the laptop, on this page.'}
			</p>
			<p className="hint narrow">Forgotten, it reaches nothing here until it joins again.</p>
			<ActionButton action={leave}>Forget this device</ActionButton>
		</>
	);
}
