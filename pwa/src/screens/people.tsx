// The crew as the register has it, and, for a lead, a link that lets one more
// phone in.
import type { JSX } from "preact";
import { useState } from "preact/hooks";
import { useKeeping } from "../keeping";
import { Sheet } from "../pieces/dialog";
import { Frame } from "../pieces/frame";
import { NoAnswer } from "../server";
import { useAsk, useShop, useShopState } from "../shop";
import type { InvitationAnswer, Person } from "../wire";
import { when, words } from "../words";

export function PeopleScreen(): JSX.Element {
  const shop = useShop();
  const me = useShopState((state) => state.holder);
  const keys = useShopState((state) => state.keys);
  const { data, refused } = useAsk("people", {});
  const keeping = useKeeping();
  const [invited, setInvited] = useState<{ person: Person; link: InvitationAnswer } | null>(null);
  const [trouble, setTrouble] = useState<{ person: string; text: string } | null>(null);
  const people = (data ?? []).filter(({ person }) => person !== "root");
  const mayInvite = people.some(
    ({ person, roles }) => person === me && (roles.includes("lead") || roles.includes("keeper")),
  );

  async function invite(person: Person) {
    setTrouble(null);
    const key = await keeping.key();
    if (!key) return;
    try {
      setInvited({ person, link: await shop.server.invite(person.person, key) });
    } catch (problem) {
      const text = problem instanceof NoAnswer ? words.people.needsServer : (problem as Error).message;
      setTrouble({ person: person.person, text });
    }
  }

  return (
    <Frame title={words.people.title}>
      <h1 tabIndex={-1}>{words.people.title}</h1>
      {refused && <p class="refusal">{refused}</p>}
      {data && people.length === 0 && <p class="section quiet">{words.people.none}</p>}
      <ul class="rows people">
        {people.map((person) => {
          const here = keys.some((key) => key.person === person.person && key.pending === null);
          const roles = person.roles.map((role) => words.people.roles[role] ?? role).join(", ");
          return (
            <li key={person.person}>
              <p class="person-name">{person.name}</p>
              <p class="quiet">
                {[
                  roles || words.people.noRole,
                  words.people.keys(person.keys.length),
                  here && words.people.here,
                ]
                  .filter(Boolean)
                  .join(" · ")}
              </p>
              {mayInvite && (
                <button type="button" class="third" onClick={() => void invite(person)}>
                  {words.people.invite}
                  <span class="hidden"> {person.name}</span>
                </button>
              )}
              {trouble?.person === person.person && (
                <p class="refusal" role="alert">
                  {trouble.text}
                </p>
              )}
            </li>
          );
        })}
      </ul>
      {invited && (
        <Sheet title={words.people.link(invited.person.name)} onClose={() => setInvited(null)}>
          <p>{words.people.linkWords(when(invited.link.expires_at))}</p>
          <p class="fingerprint">{invited.link.code}</p>
          <p class="address">{invited.link.link}</p>
          <Copy text={invited.link.link} />
        </Sheet>
      )}
      {keeping.sheet}
    </Frame>
  );
}

function Copy({ text }: { text: string }): JSX.Element {
  const [copied, setCopied] = useState(false);
  return (
    <>
      <button
        type="button"
        class="primary wide"
        onClick={() => void navigator.clipboard.writeText(text).then(() => setCopied(true))}
      >
        {words.people.copy}
      </button>
      <p role="status">{copied && words.people.copied}</p>
    </>
  );
}
