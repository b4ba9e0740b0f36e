// Holds pages against HTML as published, by html-validate, and prints each fault as FILE:LINE:COLUMN: RULE: text.
// Usage: node validate.mjs PAGE...
import { readFileSync } from 'node:fs'
import { HtmlValidate, StaticConfigLoader } from 'html-validate'

const validator = new HtmlValidate(new StaticConfigLoader({
    root: true,
    // what the standard demands, what assistive technology needs, and the checker's own advice
    extends: ['html-validate:standard', 'html-validate:a11y', 'html-validate:recommended'],
    rules: {
        // a table's frame scrolls and needs a role and a name for that; a section would enter the page's outline
        'prefer-native-element': ['error', { exclude: ['region'] }],
        // titles hold the names of routes and crews, which are the district's and may be long
        'long-title': 'off',
    },
}))
for (const path of process.argv.slice(2)) {
    const report = await validator.validateString(readFileSync(path, 'utf8'), path)
    for (const { messages } of report.results) {
        for (const message of messages) {
            console.log(`${path}:${message.line}:${message.column}: ${message.ruleId}: ${message.message}`)
            process.exitCode = 1
        }
    }
}
