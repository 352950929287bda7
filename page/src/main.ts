import "./look/tokens.css";
import "./look/type.css";
import "./look/base.css";
import { mount } from "svelte";
import { desk } from "./desk/desk.svelte";
import Frame from "./frame/Frame.svelte";

const target = document.getElementById("bench");
if (target) mount(Frame, { target });
void desk.start();
