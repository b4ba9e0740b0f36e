// Writes a CycloneDX 1.5 bill of materials of a built program: the Go modules that the linker recorded in it, and the npm
// packages of a lock file, each with its licence: a package's as its lock file says, a module's as a table does, which a test holds against
// the licence files. Usage: node sbom.mjs PROGRAM PACKAGE-LOCK LICENCES
import { execFileSync } from 'node:child_process'
import { readFileSync } from 'node:fs'

const [program, lockFile, licenceFile] = process.argv.slice(2)
const components = []
let main = 'lanetally'
const licences = new Map(readFileSync(licenceFile, 'utf8').trim().split('\n').map((line) => line.split('\t')))
// A module that holds another system's part of one in the table has that one's licence.
const licenceOf = (name) => licences.get(name) ?? (name.includes('/') ? licenceOf(name.slice(0, name.lastIndexOf('/'))) : undefined)
const withLicence = (component, expression) => {
    if (!expression) throw new Error(`${component.name}: no licence is known`)
    components.push({ ...component, licenses: [{ expression }] })
}
for (const line of execFileSync('go', ['version', '-m', program], { encoding: 'utf8' }).split('\n')) {
    const [, kind, name, version, sum] = line.split('\t')
    if (kind === 'mod') main = name
    if (kind !== 'dep') continue
    const component = { type: 'library', name, version, purl: `pkg:golang/${name}@${version}` }
    // go.sum's h1 is a SHA-256 over the module's file list, in base64
    if (sum?.startsWith('h1:')) component.hashes = [{ alg: 'SHA-256', content: Buffer.from(sum.slice(3), 'base64').toString('hex') }]
    withLicence(component, licenceOf(name))
}
const lock = JSON.parse(readFileSync(lockFile, 'utf8'))
for (const [path, item] of Object.entries(lock.packages)) {
    if (path === '' || item.dev) continue
    const name = path.slice(path.lastIndexOf('node_modules/') + 'node_modules/'.length)
    const component = { type: 'library', name, version: item.version, purl: `pkg:npm/${name.replace('@', '%40')}@${item.version}` }
    withLicence(component, item.license)
}
if (components.length === 0) throw new Error(`${program} names no modules`)
components.sort((a, b) => (a.purl < b.purl ? -1 : 1))
console.log(JSON.stringify({ bomFormat: 'CycloneDX', specVersion: '1.5', version: 1, metadata: { component: { type: 'application', name: main } }, components }, null, 2))
