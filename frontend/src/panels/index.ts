// The panels by the step of the job; a step without one shows its sentences only. Add a file and a line here.
import type { Component } from "svelte";

import Bass from "./Bass.svelte";
import Cable from "./Cable.svelte";
import Paper from "./Paper.svelte";
import Places from "./Places.svelte";
import Room from "./Room.svelte";
import Seats from "./Seats.svelte";
import Settings from "./Settings.svelte";
import Signal from "./Signal.svelte";
import Takes from "./Takes.svelte";
import Terminals from "./Terminals.svelte";
import Work from "./Work.svelte";

export const PANELS: Record<string, Component> = {
  room: Room,
  seats: Seats,
  places: Places,
  bass: Bass,
  cable: Cable,
  terminals: Terminals,
  signal: Signal,
  work: Work,
  takes: Takes,
  settings: Settings,
  paper: Paper,
};
