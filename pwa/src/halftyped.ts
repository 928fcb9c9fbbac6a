// What is half typed survives a reload, a lock, a hand-over and a new version.
// It is held in memory for drawing and written to disk as it is typed.
import type { Db, HalfTyped } from "./db";
import type { Place } from "./wire";

export interface Field {
  person: string;
  card: string;
  place: Place;
  name: string;
}

const idOf = ({ person, card, place, name }: Field) => [person, card, place, name].join("|");

export class HalfTypedFields {
  private readonly fields = new Map<string, HalfTyped>();

  private constructor(
    private readonly db: Db,
    private readonly changed: (count: number) => void,
  ) {}

  static async open(db: Db, changed: (count: number) => void): Promise<HalfTypedFields> {
    const made = new HalfTypedFields(db, changed);
    for (const half of await db.halfTyped()) made.fields.set(half.id, half);
    changed(made.fields.size);
    return made;
  }

  get(field: Field): { text: string; unit: string } | null {
    return this.fields.get(idOf(field)) ?? null;
  }

  all(): HalfTyped[] {
    return [...this.fields.values()];
  }

  // Only one's own can be in the way: everybody's lies safe on disk.
  of(person: string | null): HalfTyped[] {
    return this.all().filter((half) => half.person === person);
  }

  at(person: string, card: string, place: Place): HalfTyped[] {
    return this.all().filter((half) => half.person === person && half.card === card && half.place === place);
  }

  put(field: Field, text: string, unit: string): void {
    if (text === "") {
      this.drop(field);
      return;
    }
    const half = { ...field, id: idOf(field), text, unit, at: new Date().toISOString() };
    this.fields.set(half.id, half);
    this.changed(this.fields.size);
    void this.db.putHalfTyped(half);
  }

  drop(field: Field): void {
    const id = idOf(field);
    if (!this.fields.delete(id)) return;
    this.changed(this.fields.size);
    void this.db.dropHalfTyped(id);
  }
}
