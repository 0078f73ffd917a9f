import './app.css';

import { mount } from 'svelte';

import App from './App.svelte';
import { begin } from './camp.svelte';
import { keepFocus } from './focus';
import { lookNow, wear } from './settings';

const target = document.getElementById('page');
if (!target) throw new Error('the page has no place to draw in');
wear(lookNow());
begin();
target.replaceChildren();
mount(App, { target });
keepFocus();
