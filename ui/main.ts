import '@fontsource/ibm-plex-mono/latin-400.css';
import '@fontsource/ibm-plex-mono/latin-600.css';
import '@fontsource/ibm-plex-sans/latin-400.css';
import '@fontsource/ibm-plex-sans/latin-600.css';
import './tokens.css';
import './bench.ts';
import { mendLanguageTag } from './language-tag.ts';

// The plots are loaded later, as a separate chunk.
mendLanguageTag();
