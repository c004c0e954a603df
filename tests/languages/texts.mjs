// Every text for people in the JavaScript of the page, as JSON on standard output:
//
//   node texts.mjs PWA_DIRECTORY  ->  {"spoken": [[file, line, text]], "unspoken": [[file, line, text]], "early": [[file, line, text]]}
//
// spoken: texts that go through the catalogue. unspoken: literals that look as if people read them and do not.
// early: phrases of `field` that are put together before the language is known.
import { readdirSync, readFileSync } from 'node:fs';
import { join, relative } from 'node:path';
import { parse } from '../../pwa/node_modules/acorn/dist/acorn.mjs';
import { READ, textsOf } from '../../pwa/app/template-text.js';

const [pwa] = process.argv.slice(2);
const found = { spoken: [], unspoken: [], early: [] };

for (const folder of ['app', 'field']) {
  for (const name of readdirSync(join(pwa, folder), { recursive: true })) {
    if (name.endsWith('.js')) read(join(pwa, folder, name));
  }
}
console.log(JSON.stringify(found));

function read(path) {
  const source = readFileSync(path, 'utf8');
  const file = relative(pwa, path);
  const note = (list, node, text) => list.push([file, node.loc.start.line, text]);
  const inField = file.startsWith('field');

  walk(parse(source, { ecmaVersion: 'latest', sourceType: 'module', locations: true }), []);

  function walk(node, above) {
    if (node.type === 'TaggedTemplateExpression' && node.tag.name === 'html') {
      for (const text of textsOf(node.quasi.quasis.map((part) => part.value.cooked))) note(found.spoken, node, text);
    } else if (node.type === 'CallExpression' && node.callee.name === 'phrase' && isText(node.arguments[0])) {
      note(found.spoken, node, textOf(node.arguments[0]));
      if (inField && !above.some((one) => /Function|MethodDefinition/.test(one.type))) note(found.early, node, textOf(node.arguments[0]));
    } else if (isText(node) && looksRead(textOf(node)) && !isForPrograms(node, above)) {
      note(found.unspoken, node, textOf(node));
    }
    for (const child of childrenOf(node)) walk(child, [...above, node]);
  }
}

function childrenOf(node) {
  return Object.values(node)
    .flat()
    .filter((one) => one && typeof one.type === 'string');
}

function isText(node) {
  return (node?.type === 'Literal' && typeof node.value === 'string') || node?.type === 'TemplateLiteral';
}

function textOf(node) {
  return node.type === 'Literal' ? node.value : node.quasis.map((part) => part.value.cooked).join('{}');
}

// Two words, or one that begins with a capital and goes on small.
function looksRead(text) {
  return /[a-z’]+,? [a-z]/i.test(text) || /^[A-Z][a-z’]/.test(text.trim()) || /^ .*[a-z]{2}|[a-z]{2}.* $/i.test(text);
}

function isForPrograms(node, above) {
  const parent = above.at(-1);
  const call = above.findLast((one) => one.type === 'CallExpression' || one.type === 'NewExpression');
  if (/Import|Export(All|Named)|Directive/.test(parent.type)) return true;
  if (parent.type === 'TaggedTemplateExpression') return true;
  if (parent.type === 'CallExpression' && parent.callee.name === 'phrase' && parent.arguments[0] === node) return true;
  if (parent.type === 'BinaryExpression' && /[=!]==/.test(parent.operator)) return true;
  if (parent.type === 'Property' && parent.key === node) return true;
  const attribute = attributeOf(node, above);
  if (attribute && !READ.has(attribute)) return /^(class|style|d|points|transform|viewBox|href|id|key|for|src|type|name|aria-(describedby|labelledby|controls)|preserveAspectRatio|accept|autocomplete)$/.test(attribute);
  return ['importScripts', 'querySelector', 'querySelectorAll', 'RegExp', 'addEventListener', 'matchMedia', 'icon'].includes(call?.callee.name ?? call?.callee.property?.name);
}

// The attribute of the template that this goes into, where it goes into one.
function attributeOf(node, above) {
  const inside = above.findLastIndex((one) => one.type === 'TaggedTemplateExpression' && one.tag.name === 'html');
  if (inside < 0) return null;
  const { quasis, expressions } = above[inside].quasi;
  const index = expressions.findIndex((one) => one.start <= node.start && node.end <= one.end);
  return /([\w:-]+)=["']?[^"'<>]*$/.exec(quasis[index].value.cooked)?.[1] ?? null;
}
