/** Composition root of the page: everything is wired together from here. */
document.title = 'Cliplead';

export {};
