// Rules for the phone's scripts; each is a fault. tests/rules/test_lint_js.py plants what they must name, and tests/rules/test_phone_code.py
// holds what no rule here can say: what the screen may import, where an address comes from, that words stand in one place.

const asGlobals = (names) => Object.fromEntries(names.split(' ').map((name) => [name, 'readonly']));

const EVERYWHERE = asGlobals(
  'console structuredClone TextEncoder TextDecoder URL URLSearchParams Blob File Headers Request Response fetch crypto '
  + 'performance setTimeout clearTimeout setInterval clearInterval queueMicrotask AbortController AbortSignal '
  + 'DOMException MessageChannel postMessage reportError',
);
const PAGE = asGlobals(
  'window document navigator location history localStorage sessionStorage indexedDB IDBKeyRange caches '
  + 'BroadcastChannel Node Element HTMLElement Event CustomEvent MutationObserver ResizeObserver IntersectionObserver '
  + 'matchMedia requestAnimationFrame cancelAnimationFrame getComputedStyle scrollBy Image FileReader AudioContext',
);
const WORKER = asGlobals('self clients caches registration skipWaiting');
const BUILT_IN = asGlobals('SITE WORK'); // the build writes them above sw.js

// Texts are drawn as texts: none of these makes markup, a style or code of one.
const AS_MARKUP = [
  'innerHTML', 'outerHTML', 'insertAdjacentHTML', 'srcdoc', 'createContextualFragment', 'setHTML', 'setHTMLUnsafe',
  'parseHTML', 'parseHTMLUnsafe', 'cssText', 'style',
];
const AS_CODE = [
  ["CallExpression[callee.object.name='document'][callee.property.name=/^write/]", 'It makes markup of a text.'],
  ["CallExpression[callee.property.name='createElement'] > Literal[value='script']", 'No script is made on the page.'],
  ["CallExpression[callee.property.name=/^setAttribute/] > Literal[value=/^on[a-z]+$/]", 'An attribute that is code.'],
  ['CallExpression[callee.name=/^(set|make)$/] > Literal[value=/^on[a-z]+$/]', 'An attribute that is code.'],
  ["ImportExpression[source.type!='Literal']", 'Only a module of our own is imported, by its name.'],
  ['ImportExpression > Literal[value=/^(?![.]{1,2}[/])/]', 'Only a module of our own is imported, by its name.'],
].map(([selector, message]) => ({ selector, message }));
const asMarkup = AS_MARKUP.map((property) => ({ property, message: 'A text is drawn as a text.' }));

const rules = {
  'array-callback-return': 'error',
  'constructor-super': 'error',
  curly: ['error', 'multi-line'],
  'default-case-last': 'error',
  eqeqeq: 'error',
  'for-direction': 'error',
  'getter-return': 'error',
  'max-lines-per-function': ['error', { max: 60 }],
  'no-async-promise-executor': 'error',
  'no-caller': 'error',
  'no-class-assign': 'error',
  'no-compare-neg-zero': 'error',
  'no-cond-assign': 'error',
  'no-const-assign': 'error',
  'no-constant-binary-expression': 'error',
  'no-constant-condition': 'error',
  'no-debugger': 'error',
  'no-dupe-args': 'error',
  'no-dupe-class-members': 'error',
  'no-dupe-else-if': 'error',
  'no-dupe-keys': 'error',
  'no-duplicate-case': 'error',
  'no-duplicate-imports': 'error',
  'no-empty': 'error',
  'no-empty-pattern': 'error',
  'no-eval': 'error',
  'no-extend-native': 'error',
  'no-fallthrough': 'error',
  'no-func-assign': 'error',
  'no-global-assign': 'error',
  'no-implied-eval': 'error',
  'no-import-assign': 'error',
  'no-inner-declarations': 'error',
  'no-invalid-regexp': 'error',
  'no-irregular-whitespace': 'error',
  'no-loss-of-precision': 'error',
  'no-new-func': 'error',
  'no-new-wrappers': 'error',
  'no-obj-calls': 'error',
  'no-prototype-builtins': 'error',
  'no-redeclare': 'error',
  'no-restricted-globals': ['error', 'DOMParser', 'XSLTProcessor'],
  'no-restricted-properties': ['error', ...asMarkup],
  'no-restricted-syntax': ['error', ...AS_CODE],
  'no-return-assign': 'error',
  'no-script-url': 'error',
  'no-self-assign': 'error',
  'no-self-compare': 'error',
  'no-setter-return': 'error',
  'no-sparse-arrays': 'error',
  'no-template-curly-in-string': 'error',
  'no-this-before-super': 'error',
  'no-throw-literal': 'error',
  'no-undef': 'error',
  'no-unexpected-multiline': 'error',
  'no-unreachable': 'error',
  'no-unsafe-finally': 'error',
  'no-unsafe-negation': 'error',
  'no-unsafe-optional-chaining': 'error',
  'no-unused-expressions': 'error',
  'no-unused-vars': ['error', { ignoreRestSiblings: true }],
  'no-use-before-define': ['error', { functions: false, variables: false }],
  'no-useless-backreference': 'error',
  'no-useless-catch': 'error',
  'no-useless-rename': 'error',
  'no-var': 'error',
  'object-shorthand': 'error',
  'prefer-const': 'error',
  'require-yield': 'error',
  'use-isnan': 'error',
  'valid-typeof': 'error',
};

const of = (sourceType, ...globals) => ({ ecmaVersion: 2025, sourceType, globals: Object.assign({}, ...globals) });

export default [
  { linterOptions: { noInlineConfig: true } }, // no comment turns a rule off
  { files: ['**/phone/**/*.js'], languageOptions: of('module', EVERYWHERE, PAGE), rules },
  { files: ['**/sw.js'], languageOptions: of('script', EVERYWHERE, WORKER, BUILT_IN), rules },
];
