# The page: web/ is copied into the build folder, its packages are fetched there once per lock file
# (npm ci), and the built files are put into the server's library. Source folders stay clean, and
# several build folders do not get in each other's way.
find_program(QN_NPM npm REQUIRED)
find_program(QN_NODE node REQUIRED)

set(web_from ${PROJECT_SOURCE_DIR}/web)
set(web_to ${CMAKE_BINARY_DIR}/web)
file(GLOB_RECURSE web_parts CONFIGURE_DEPENDS RELATIVE ${web_from}
     ${web_from}/src/* ${web_from}/tests/* ${web_from}/tools/*)
list(APPEND web_parts package.json package-lock.json .npmrc tsconfig.json build.mjs)
set(web_copies)
foreach(part IN LISTS web_parts)
  add_custom_command(OUTPUT ${web_to}/${part} DEPENDS ${web_from}/${part} VERBATIM
    COMMAND ${CMAKE_COMMAND} -E copy ${web_from}/${part} ${web_to}/${part})
  list(APPEND web_copies ${web_to}/${part})
endforeach()
set(web_contract ${web_to}/api.yaml)
add_custom_command(OUTPUT ${web_contract} DEPENDS ${PROJECT_SOURCE_DIR}/src/server/api.yaml VERBATIM
  COMMAND ${CMAKE_COMMAND} -E copy ${PROJECT_SOURCE_DIR}/src/server/api.yaml ${web_contract})

add_custom_command(OUTPUT ${web_to}/packages.stamp VERBATIM
  DEPENDS ${web_to}/package.json ${web_to}/package-lock.json ${web_to}/.npmrc
  COMMAND ${QN_NPM} ci --no-audit --no-fund --loglevel=error
  COMMAND ${CMAKE_COMMAND} -E touch packages.stamp
  WORKING_DIRECTORY ${web_to} COMMENT "Fetching the page's packages")

set(web_files index.html app.js app.css icon.svg worker.js)
list(TRANSFORM web_files PREPEND ${web_to}/dist/ OUTPUT_VARIABLE web_built)
add_custom_command(OUTPUT ${web_built} VERBATIM
  DEPENDS ${web_copies} ${web_contract} ${web_to}/packages.stamp
  COMMAND ${QN_NODE} build.mjs
  WORKING_DIRECTORY ${web_to} COMMENT "Building the page")
add_custom_target(qn_web DEPENDS ${web_built})

foreach(name IN LISTS web_files)
  string(REPLACE "." "_" symbol ${name})
  qn_embed(qn_server qn_web_${symbol} ${web_to}/dist/${name})
endforeach()
add_dependencies(qn_server qn_web)
