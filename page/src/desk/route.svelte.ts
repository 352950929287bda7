// Where the user is: #/page/place. Back and forward of the browser work.

class Route {
  page = $state("joule");
  place = $state("");

  constructor() {
    this.read();
    addEventListener("hashchange", () => this.read());
  }

  go(page: string, place = ""): void {
    location.hash = `#/${page}${place ? `/${place}` : ""}`;
  }

  /** Change the place on a page without a new entry to go back to. */
  move(place: string): void {
    history.replaceState(null, "", `#/${this.page}/${place}`);
    this.place = place;
  }

  private read(): void {
    const [, page, place] = /^#\/([\w-]+)(?:\/([\w-]+))?/.exec(location.hash) ?? [];
    this.page = page ?? "joule";
    this.place = place ?? "";
  }
}

export const route = new Route();
