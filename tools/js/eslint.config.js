// Rules for the phone's scripts, all of them faults. What the screen may import, and its words, are checked by tests/test_phone_code.py.

const asGlobals = (names) => Object.fromEntries(names.split(' ').map((name) => [name, 'readonly']));

const EVERYWHERE = asGlobals('console structuredClone TextEncoder TextDecoder URL Blob File Response Request fetch crypto performance setTimeout clearTimeout setInterval clearInterval queueMicrotask AbortController AbortSignal DOMException Headers URLSearchParams MessageChannel postMessage reportError');
const PAGE = asGlobals('window document navigator location history localStorage sessionStorage indexedDB IDBKeyRange caches BroadcastChannel Node Element HTMLElement Event CustomEvent MutationObserver ResizeObserver IntersectionObserver matchMedia requestAnimationFrame cancelAnimationFrame getComputedStyle scrollBy Image FileReader AudioContext');
const WORKER = asGlobals('self clients caches registration skipWaiting');
const BUILT_IN = asGlobals('SITE WORK'); // the build writes them above sw.js

// Texts are drawn as texts: none of these makes markup, a style or code of one.
const AS_MARKUP = [
  'innerHTML', 'outerHTML', 'insertAdjacentHTML', 'srcdoc', 'createContextualFragment', 'setHTML', 'setHTMLUnsafe',
  'parseHTML', 'parseHTMLUnsafe', 'cssText', 'style',
];
const AS_CODE = [
  { selector: "CallExpression[callee.object.name='document'][callee.property.name=/^write/]", message: 'document.write makes markup of a text.' },
  { selector: "CallExpression[callee.property.name='createElement'] > Literal[value='script']", message: 'No script is made on the page.' },
  { selector: "CallExpression[callee.property.name=/^set(AttributeNS|Attribute)?$/] > Literal[value=/^on[a-z]+$/]", message: 'An attribute that is code.' },
  { selector: "CallExpression[callee.name=/^(set|make)$/] > Literal[value=/^on[a-z]+$/]", message: 'An attribute that is code.' },
  { selector: "ImportExpression:not([source.type='Literal'])", message: 'Only a module of our own, by its name, is imported.' },
  { selector: 'ImportExpression > Literal[value=/^(?!\\.{1,2}\\u002f)/]', message: 'Only a module of our own, by its name, is imported.' },
];

const rules = {
  'array-callback-return': 'error',
  'consistent-return': 'off',
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
  'no-promise-executor-return': 'off',
  'no-prototype-builtins': 'error',
  'no-redeclare': 'error',
  'no-restricted-globals': ['error', 'DOMParser', 'XSLTProcessor'],
  'no-restricted-properties': ['error', ...AS_MARKUP.map((property) => ({ property, message: 'A text is drawn as a text.' }))],
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

export default [
  { linterOptions: { reportUnusedDisableDirectives: 'error' } },
  { files: ['**/phone/**/*.js'], languageOptions: { ecmaVersion: 2025, sourceType: 'module', globals: { ...EVERYWHERE, ...PAGE } }, rules },
  { files: ['**/sw.js'], languageOptions: { ecmaVersion: 2025, sourceType: 'script', globals: { ...EVERYWHERE, ...WORKER, ...BUILT_IN } }, rules },
];
