import { startPage } from '../frame.js';

startPage();
