import { mount } from "svelte";

import "virtual:drawing.css";
import App from "./App.svelte";
import "./page.css";

mount(App, { target: document.body });
