// A sheet from the bottom edge on a phone, in the middle on a wide screen. It
// is a real dialog: focus stays in it and goes back where it came from.
import type { ComponentChildren, JSX } from "preact";
import { useId, useLayoutEffect, useRef } from "preact/hooks";
import { words } from "../words";

export function Sheet({
  title,
  kicker,
  onClose,
  children,
  foot,
}: {
  title: string;
  kicker?: string;
  onClose: () => void;
  children: ComponentChildren;
  foot?: ComponentChildren;
}): JSX.Element {
  const dialog = useRef<HTMLDialogElement>(null);
  const id = useId();
  // Before anything inside asks for the focus.
  useLayoutEffect(() => {
    const box = dialog.current;
    const before = document.activeElement as HTMLElement | null;
    box?.showModal();
    return () => {
      box?.close();
      before?.focus({ preventScroll: true });
    };
  }, []);
  return (
    <dialog
      class="sheet"
      ref={dialog}
      aria-labelledby={id}
      onCancel={(event) => {
        event.preventDefault();
        onClose();
      }}
    >
      <header>
        <div>
          {kicker && <p class="kicker">{kicker}</p>}
          <h2 id={id} tabIndex={-1}>
            {title}
          </h2>
        </div>
        <button type="button" class="third" onClick={onClose}>
          {words.act.close}
        </button>
      </header>
      <div class="sheet-body stack">{children}</div>
      {foot && <footer>{foot}</footer>}
    </dialog>
  );
}
