import { preferences } from "../api/api";

/** How the coach likes to work on this computer: what is kept by the program, under short keys. */
export class Likes {
  #all = $state.raw<Record<string, string>>({});

  /** `failed` hears why something could not be kept: it holds until the window closes. */
  constructor(private readonly failed: (cause: unknown) => void) {}

  async load(): Promise<void> {
    try {
      this.#all = { ...(await preferences.all()) };
    } catch (cause) {
      this.failed(cause);
    }
  }

  /** What is kept under a key, "" for nothing. */
  get(key: string): string {
    return this.#all[key] ?? "";
  }

  keep(key: string, value: string): void {
    if (this.get(key) === value) return;
    this.#all = { ...this.#all, [key]: value };
    void preferences.keep(key, value).catch(this.failed);
  }
}
