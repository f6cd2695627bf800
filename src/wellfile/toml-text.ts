/** A TOML basic string: the escapes of JSON are its own, but for delete. */
export const tomlText = (text: string): string =>
  JSON.stringify(text).replaceAll('\u007f', '\\u007F');
