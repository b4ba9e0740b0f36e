// Writes a CycloneDX 1.5 bill of materials of a built program: the Go modules that the linker recorded in it, and the npm
// packages of a lock file. Usage: node sbom.mjs PROGRAM PACKAGE-LOCK
import { execFileSync } from 'node:child_process'
import { readFileSync } from 'node:fs'

const [program, lockFile] = process.argv.slice(2)
const components = []
let main = 'lanetally'
for (const line of execFileSync('go', ['version', '-m', program], { encoding: 'utf8' }).split('\n')) {
    const [, kind, name, version, sum] = line.split('\t')
    if (kind === 'mod') main = name
    if (kind !== 'dep') continue
    const component = { type: 'library', name, version, purl: `pkg:golang/${name}@${version}` }
    // go.sum's h1 is a SHA-256 over the module's file list, in base64
    if (sum?.startsWith('h1:')) component.hashes = [{ alg: 'SHA-256', content: Buffer.from(sum.slice(3), 'base64').toString('hex') }]
    components.push(component)
}
const lock = JSON.parse(readFileSync(lockFile, 'utf8'))
for (const [path, item] of Object.entries(lock.packages)) {
    if (path === '' || item.dev) continue
    const name = path.slice(path.lastIndexOf('node_modules/') + 'node_modules/'.length)
    const component = { type: 'library', name, version: item.version, purl: `pkg:npm/${name.replace('@', '%40')}@${item.version}` }
    if (item.license) component.licenses = [{ license: { id: item.license } }]
    components.push(component)
}
if (components.length === 0) throw new Error(`${program} names no modules`)
components.sort((a, b) => (a.purl < b.purl ? -1 : 1))
console.log(JSON.stringify({ bomFormat: 'CycloneDX', specVersion: '1.5', version: 1, metadata: { component: { type: 'application', name: main } }, components }, null, 2))
