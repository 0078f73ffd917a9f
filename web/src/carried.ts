// The page as a copy for the road: only what it carries, and only to read.
import './app.css';

import { mount } from 'svelte';

import { begin } from './camp.svelte';
import Carried from './Carried.svelte';
import { wear } from './settings';

const target = document.getElementById('page');
if (!target) throw new Error('the copy has no place to draw in');
wear('auto');
begin();
mount(Carried, { target });
