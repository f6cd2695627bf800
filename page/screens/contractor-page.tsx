import { useState } from 'preact/hooks';
import { ofWell } from '../data/api.ts';
import { keptName } from '../data/keeper-name.ts';
import { useWho } from '../data/who.ts';
import { SAY } from '../words.ts';
import { Field } from './book-field.tsx';

const say = SAY.book.contractor;
const MOST_CHARS = 600;

/** What goes to the contractor: the complaint is typed, all else is measured. */
export function ContractorPage({ wellId }: { wellId: string }) {
  const [open, setOpen] = useState(false);
  return (
    <details class="for-contractor" onToggle={(event) => setOpen(event.currentTarget.open)}>
      <summary>{say.title}</summary>
      {open && <Asked wellId={wellId} />}
    </details>
  );
}

function Asked({ wellId }: { wellId: string }) {
  const { signsIn, name } = useWho();
  const [complaint, setComplaint] = useState('');
  const address = (form: 'html' | 'pdf') => {
    const asked = { complaint: complaint.trim(), by: signsIn ? name : keptName() };
    const given = Object.entries(asked).filter(([, value]) => value !== '');
    return `/api/v1${ofWell(wellId, `contractor.${form}`, Object.fromEntries(given))}`;
  };
  return (
    <>
      <p>{say.note}</p>
      <Field name={say.complaint}>
        <textarea
          rows={3}
          maxLength={MOST_CHARS}
          value={complaint}
          onInput={(event) => setComplaint(event.currentTarget.value)}
        />
      </Field>
      <p class="knobs">
        <a class="button" href={address('html')} target="_blank" rel="noreferrer">
          {say.html}
        </a>
        <a class="button" href={address('pdf')} target="_blank" rel="noreferrer">
          {say.pdf}
        </a>
      </p>
    </>
  );
}
