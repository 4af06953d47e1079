import './tokens.css';
import './bench.ts';
